import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse, parseDocument } from 'yaml';
import { repetitions, shareOf } from '../helpers/repetitions.ts';
import { root } from './built-program.ts';
import { unsound, type WatchedProgram, watchedProgram } from './watched-run.ts';

// Values that are sound one by one, as no recipe has them: whatever follows is a result or a finding, in every command.

const RECIPE = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
const floor = (name: string) => readFileSync(join(root, 'examples', 'floor', name), 'utf8');
const DATA = {
  'runs.csv': floor('trial-runs.csv'),
  'curve.csv': floor('flow-curve.csv'),
  'cure.csv': floor('thickening.csv'),
};

const CALLS = {
  check: 'check a.yaml',
  cavity: 'cavity a.yaml',
  shot: 'shot a.yaml --pressure 150kPa --dwell 1s',
  setpoint: 'setpoint a.yaml --needles 20,22x12.7mm,30',
  ramp: 'ramp a.yaml',
  'ramp --by pressure': 'ramp a.yaml --by pressure --pause 5min@3 -o shots.csv',
  gauge: 'gauge a.yaml -o gauge.pdf',
  spread: 'spread a.yaml --samples 1000',
  rehearse: 'rehearse a.yaml --samples 10',
  batch: 'batch a.yaml --connectors 480 --kit 20g',
  'batch in shifts': 'batch a.yaml --connectors 48 --shift 08:00-12:00 --shift 13:00-17:00 -o batch.svg',
  card: 'card a.yaml -o card.pdf',
  sweep:
    'sweep a.yaml --grid process.prime=1:3:2 --take shot.volume_uL,setpoint.chosen.dwell_s,ramp.worst_error_pct,gauge.circles',
  trials: 'trials a.yaml -o trials.csv',
  'release by dots': 'release a.yaml --dots 3.2mm,3.25mm --age 13min',
  'release by masses': 'release a.yaml --masses 9.0mg,9.1mg --shots 5 --readability 0.1mg --age 13min',
  fit: 'fit a.yaml runs.csv',
  'fit --flow-curve': 'fit a.yaml --flow-curve curve.csv',
  'fit --cure': 'fit a.yaml --cure cure.csv',
  freeze: 'freeze b.yaml',
  compare: 'compare a.yaml b.yaml',
} as const;
type CallName = keyof typeof CALLS;
const ALL = Object.keys(CALLS) as CallName[];
/** They read values from the file, not from `--set`. */
const FROM_FILE: readonly CallName[] = ['freeze', 'compare'];

let program: WatchedProgram;
beforeAll(async () => {
  program = await watchedProgram();
});
afterAll(() => program.close());

/** What is wrong with how each of the calls ends, by its name. */
async function wrongs(calls: readonly CallName[], sets: readonly string[]): Promise<Partial<Record<CallName, string>>> {
  const found: Partial<Record<CallName, string>> = {};
  const changed = withValues(sets);
  for (const name of calls) {
    const flags = FROM_FILE.includes(name) ? [] : sets.flatMap(set => ['--set', set]);
    const files = { 'a.yaml': RECIPE, 'b.yaml': changed, ...DATA };
    const ending = await program.run([...CALLS[name].split(' '), '--json', ...flags], files);
    // a sweep has nothing to show where no point of it can be computed; a shift may be shorter than the takt
    const wrong = unsound(ending, name === 'batch in shifts' ? [0, 1, 2] : [0, 1]);
    if (wrong !== null) found[name] = wrong;
  }
  return found;
}

function withValues(sets: readonly string[]): string {
  const document = parseDocument(RECIPE);
  for (const set of sets) {
    const split = set.indexOf('=');
    const path = set.slice(0, split).split('.');
    document.setIn(path, document.createNode(parse(set.slice(split + 1))));
  }
  return document.toString();
}

const TABLE = 'resin.rheology={model: table, points:';
const GELLING =
  'resin.cure={model: castro-macosko, A1: 1e-30 1/s, E1: 0 kJ/mol, A2: 1e-30 1/s, E2: 0 kJ/mol, m: 9, n: 9, gel_conversion: 0.999999, c1: 1e6, c2: 1e6}';

describe('every command ends with a result or a finding', () => {
  it.each([
    ['a resin thinner than any gas', ['resin.rheology.viscosity=1e-9 Pa.s']],
    ['a resin like rock', ['resin.rheology.viscosity=1e30 Pa.s']],
    ['a needle of one atom', ['needle.bore=1e-9 m']],
    ['a needle like a tunnel', ['needle.bore=1 m', 'needle.length=1e-9 m']],
    ['next to absolute zero', ['process.temperature=1e-9 K']],
    ['the heart of a star', ['process.temperature=1e9 K']],
    ['measured next to absolute zero', ['resin.reference_temperature=0.001 K']],
    ['no resistance to a temperature', ['resin.activation_energy=1e9 kJ/mol']],
    ['lighter than vacuum', ['resin.density=1e-30 kg/m^3', 'resin.surface_tension=1e30 N/m']],
    ['heavier than a star', ['resin.density=1e30 kg/m^3', 'resin.surface_tension=1e-30 N/m']],
    ['hardly a power law', ['resin.rheology={model: power-law, K: 1 Pa.s^n, n: 0.01}']],
    [
      'a Cross model at its edge',
      ['resin.rheology={model: cross, zero: 1e9 Pa.s, infinity: 0 Pa.s, time: 1e9 s, m: 0.99}'],
    ],
    ['a curve that falls too fast', [`${TABLE} [[0.1 1/s, 12 Pa.s], [1 1/s, 1.3 Pa.s]]}`]],
    ['a yield stress like steel', ['resin.rheology={model: casson, yield_stress: 1e30 Pa, viscosity: 1e30 Pa.s}']],
    ['set at once', ['resin.cure={model: pot-life, time: 1e-9 s, factor: 1e9}']],
    ['a cure that never is', ['resin.cure={model: roller, rate: 1e-30 1/s, activation_energy: 1e9 kJ/mol}']],
    ['a gel beyond all time', [GELLING]],
    ['a lot like water', ['resin.lot_factor=1e-12']],
    ['a calibration of nothing', ['calibration={viscosity_factor: 1e-30, pressure_offset: 0 kPa, dead_time: 0 s}']],
    ['a thousand connectors a millisecond', ['process.takt=1e-6 s']],
    ['a connector in thirty years', ['process.takt=1e9 s', 'process.ready_after=1e9 s']],
    [
      'a swimming pool for a syringe',
      ['station.syringe={barrel: 1e9 L, inside_diameter: 9.5 mm, fill: 1e6 L, left_over: 0.3 mL}'],
    ],
    ['air that does not come', ['station.air={model: iso6358, conductance: 1e-12 dm^3/(s.bar), critical_ratio: 0.3}']],
    ['air that takes its time', ['station.air={model: first-order, rise: 1e6 s, fall: 1e6 s, delay: 0 s}']],
    [
      'steps no regulator holds',
      ['station.pressure.step=1e-9 kPa', 'station.dwell.step=1e-20 s', 'station.ramp.add_step=1e-9 s'],
    ],
    ['a tolerance of nothing', ['process.tolerance=1e-9 %', 'process.stop_at={viscosity_factor: 1e12}']],
    ['any shot will do', ['process.tolerance=1e30 %', 'process.prime=1000000000']],
    ['a ramp that adds an age', ['settings.ramp={add: 1e9 s, every: 1000000}']],
  ])('%s', async (title, sets) => {
    expect(await wrongs(shareOf(ALL, 4, title.length), sets)).toEqual({});
  });
});

/** Keys with a unit and decades that are sound for each alone. */
const KEYS: readonly (readonly [key: string, unit: string, from: number, to: number])[] = [
  ['needle.bore', 'm', -9, 0],
  ['needle.length', 'm', -6, 1],
  ['resin.rheology.viscosity', 'Pa.s', -9, 9],
  ['resin.density', 'kg/m^3', -6, 9],
  ['resin.surface_tension', 'N/m', -12, 6],
  ['resin.dot.contact_angle', 'deg', 0.7, 2.24],
  ['resin.activation_energy', 'J/mol', -3, 9],
  ['resin.lot_factor', '', -12, 12],
  ['resin.cure.time', 's', -6, 12],
  ['process.temperature', 'K', -3, 6],
  ['process.takt', 's', -6, 9],
  ['process.ready_after', 's', -6, 9],
  ['process.tolerance', '%', -9, 6],
  ['station.pressure.step', 'Pa', -6, 9],
  ['station.dwell.step', 's', -9, 3],
  ['station.dwell.max', 's', 0, 9],
  ['station.rating', 'Pa', 0, 12],
  ['station.atmosphere', 'Pa', -3, 9],
  ['station.syringe.fill', 'L', -12, -3.3],
  ['station.syringe.inside_diameter', 'm', -6, 3],
  ['station.syringe.plunger_friction', 'Pa', -3, 9],
  ['station.ramp.add_step', 's', -9, 3],
  ['settings.pressure', 'Pa', -3, 9],
  ['settings.dwell', 's', -6, 6],
  ['connector.allowance', '%', -9, 1.99],
  ['connector.face', 'm', -2.9, 3],
];

const values = fc
  .subarray([...KEYS], { minLength: 1, maxLength: 4 })
  .chain(keys =>
    fc.tuple(
      ...keys.map(([key, unit, from, to]) =>
        fc
          .double({ min: from, max: to, noNaN: true })
          .map(decade => `${key}=${(10 ** decade).toPrecision(4)} ${unit}`.trim()),
      ),
    ),
  );

it('and so it does with several such values at once', async () => {
  const calls = fc.subarray(ALL, { minLength: 4, maxLength: 4 });
  await fc.assert(
    fc.asyncProperty(values, calls, async (sets, names) => {
      expect(await wrongs(names, sets)).toEqual({});
    }),
    { seed: 20261125, numRuns: repetitions(8, 40), endOnFailure: true },
  );
});

describe('options as extreme as that', () => {
  const TIMES = ['1e-12 s', '1e12 s'];
  const PRESSURES = ['1e-9 Pa', '1e15 Pa'];
  const FACTORS = ['1e-29', '1e29'];
  const TEMPERATURES = ['1e-9 K', '1e9 K'];
  const RESIN = { '--age': TIMES, '--temperature': TEMPERATURES, '--lot-factor': FACTORS };
  const cases: readonly (readonly [call: string, options: Readonly<Record<string, readonly string[]>>])[] = [
    ['shot a.yaml', { ...RESIN, '--pressure': PRESSURES, '--dwell': TIMES, '--dispensed': ['1e-20 L', '1e20 L'] }],
    ['setpoint a.yaml', { ...RESIN, '--pressure': PRESSURES, '--dwell': TIMES, '--needles': ['22x1e-9mm', '6x1e9m'] }],
    ['ramp a.yaml', { '--pause': ['1e12 s@1', '1e-12 s@9', '1e9 h@1000000'], '--temperature': TEMPERATURES }],
    ['gauge a.yaml', { '--shots': ['1000000000'], '--circles': ['1000000000'], '--scale-x': ['1e-9', '1e9'] }],
    ['card a.yaml', { '--dots-per-circle': ['1000000000'] }],
    [
      'batch a.yaml --connectors 20000',
      { '--kit': ['1e-12 g', '1e12 kg'], '--scrap': ['99.9 %'], '--stations': ['50'] },
    ],
    ['batch a.yaml --connectors 20', { '--mixing-loss': ['99.999 %', '1 g'], '--needle-life': ['9', '1000000000'] }],
    ['trials a.yaml', { '--confidence': ['1e-9 %', '1e9 %'], '--readability': ['1e-20 g', '1e9 kg'], '--pace': TIMES }],
    [
      'trials a.yaml --by diameter',
      { '--reading-error': ['1e-20 m', '1e9 m'], '--repeatability': ['1e-9 %', '1e9 %'] },
    ],
    ['trials a.yaml', { '--ages': ['0 s, 1e12 s'], '--pressures': ['1e-9 Pa, 1e9 Pa'], '--dwells': ['1e-9 s, 1e9 s'] }],
    [
      'release a.yaml --masses 9mg,9.1mg',
      { ...RESIN, '--pressure': PRESSURES, '--dwell': TIMES, '--trim-limit': ['1e9 %'] },
    ],
    ['release a.yaml', { '--masses': ['1e-20 g, 1e20 g'], '--dots': ['1e-20 m', '1e9 m, 1e9 m'] }],
    ['fit a.yaml runs.csv', { '--tare': ['1e-20 g', '1e9 g'], '--readability': ['1e-20 g', '1e9 g'] }],
    ['fit a.yaml runs.csv', { '--fix': ['viscosity_factor=1e-29', 'pressure_offset=1e15 Pa', 'dead_time=1e12 s'] }],
    ['trend checks.csv', { '--sigma': ['1e-29', '1e29'], '--target': ['-1e29', '1e29'], '--upper': ['1e29'] }],
    ['trend checks.csv --chart ewma', { '--lambda': ['1e-29', '1'], '--sigma': ['1e-29'] }],
    ['spread a.yaml --samples 1000', { '--seed': ['9007199254740991'] }],
    ['sweep a.yaml --take shot.volume_uL', { '--grid': ['needle.bore=1e-9 m:1 m:7', 'process.takt=1e-20 s:1e20 s:5'] }],
  ];
  it.each(cases)('%s', async (call, options) => {
    const files = { 'a.yaml': RECIPE, 'checks.csv': floor('checks.csv'), ...DATA };
    const found: Record<string, string> = {};
    for (const [option, texts] of Object.entries(options)) {
      for (const text of texts) {
        const wrong = unsound(await program.run([...call.split(' '), '--json', option, text], files), [0, 1, 2]);
        if (wrong !== null) found[`${option} ${text}`] = wrong;
      }
    }
    expect(found).toEqual({});
  });
});
