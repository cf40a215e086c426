import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { runProgram } from '../../../src/cli/program.ts';
import { CHECK_LOG_HEADER, OLDER_LOG_HEADER } from '../../../src/data/release-log.ts';
import { rowsByCell } from '../../../src/data/trend-groups.ts';
import { fakeIo } from '../fake-io.ts';

const folder = join(import.meta.dirname, '../../../examples/floor');
const example = (name: string) => readFileSync(join(folder, name), 'utf8');
const RECIPE = example('pigtail.yaml');
const TRIALS = example('trial-runs.csv');

async function run(argv: string[], files: Record<string, string | Uint8Array> = { 'a.yaml': RECIPE }, stdin?: string) {
  const io = fakeIo(files, { ...(stdin !== undefined && { stdin }) });
  const status = await runProgram(argv, io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}
const json = async (argv: string[], files?: Record<string, string>) =>
  JSON.parse((await run([...argv, '--json'], files)).out);
const text = (content: string | Uint8Array | undefined) => Buffer.from(content ?? '').toString('utf8');

const RELEASE = [
  'release',
  'a.yaml',
  '--masses',
  '10.7,10.8,10.6 mg',
  '--shots',
  '5',
  '--age',
  '12min',
  '--temperature',
  '23 degC',
];
const LOGGED = [
  ...RELEASE,
  '--log',
  'checks.csv',
  '--time',
  '2026-03-02T06:40:00+01:00',
  '--syringe',
  'S-1',
  '--lot',
  'L,2',
  '--operator',
  'AB',
  '--note',
  'first',
];

describe('release', () => {
  it('appends one line below the header, with what was measured', async () => {
    const { status, written, err } = await run(LOGGED);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    const [header, line, rest] = text(written.get('checks.csv')).split('\n');
    expect(header).toBe(CHECK_LOG_HEADER);
    // t(0.975, 2)·s/√3 = 0.0432 µL and 1.96 of the balance, 0.0139 µL: 1.861 ± 0.0454 µL.
    expect(line).toMatch(
      /^2026-03-02T06:40:00\+01:00,a\.yaml,[0-9a-f]{64},S-1,"L,2",AB,12,23,15,1\.86\d+,1\.8\d+,1\.9\d+,use,,first,1,210,0\.52,1,masses,"10\.7,10\.8,10\.6 mg",1\.8\d+,1\.0\d+,"0\.52 s from 1, add 0\.03 s every 7",,,$/,
    );
    expect(rest).toBe('');
  });

  it('names the recipe by its path from the root', async () => {
    const files = { '.git/x': '', 'line/a.yaml': RECIPE };
    const { written } = await run(['release', 'line/a.yaml', ...LOGGED.slice(2)], files);
    expect(text(written.get('checks.csv')).split('\n')[1]).toContain(',line/a.yaml,');
  });

  it('is refused without syringe and operator, unless the line may be incomplete', async () => {
    const bare = [...RELEASE, '--log', 'l.csv'];
    const { status, err, written } = await run(bare);
    expect({ status, written: written.size }).toEqual({ status: 2, written: 0 });
    expect(err).toContain('--log needs --syringe and --operator');
    expect((await run([...bare, '--syringe', 'S-1'])).err).toContain('--log needs --operator;');
    expect((await run([...bare, '--incomplete'])).status).toBe(0);
  });

  it('goes on with an older log in its own columns, and says what is left out', async () => {
    const older = { 'a.yaml': RECIPE, 'checks.csv': `${OLDER_LOG_HEADER}\n` };
    const { status, err, written } = await run(LOGGED, older);
    expect(status).toBe(0);
    expect(err).toContain('[log-older]');
    const [, line] = text(written.get('checks.csv')).split('\n');
    expect(line).toMatch(/,use,,first$/);
  });

  it('takes the clock without --time, and leaves out what was not measured', async () => {
    const { written } = await run([
      'release',
      'a.yaml',
      '--masses',
      '10.7,10.8,10.6 mg',
      '--shots',
      '5',
      '--log',
      'l.csv',
      '--incomplete',
    ]);
    expect(text(written.get('l.csv')).split('\n')[1]).toMatch(/^2026-03-02T08:00:00Z,a\.yaml,[0-9a-f]{64},,,,,,15,/);
  });

  it('logs the trim as a change of the dwell', async () => {
    const { written, out } = await run([
      'release',
      'a.yaml',
      '--masses',
      '9.0,9.1,9.1mg',
      '--shots',
      '5',
      '--log',
      'l.csv',
      '--incomplete',
      '--json',
    ]);
    const { result } = JSON.parse(out);
    expect(result).toMatchObject({ decision: 'use with trim', log: 'l.csv' });
    expect(text(written.get('l.csv')).split('\n')[1]).toContain(`,use with trim,${result.trim.change_s},`);
    expect(result.trim.dwell_s).toBeCloseTo(0.52 + result.trim.change_s, 12);
  });

  it('a log with another header is a finding at its first line, status 3, and nothing is written', async () => {
    const { status, out, written } = await run([...LOGGED, '--json'], {
      'a.yaml': RECIPE,
      'checks.csv': 'name,town\n',
    });
    expect(status).toBe(3);
    expect(written.size).toBe(0);
    const { result, diagnostics } = JSON.parse(out);
    expect(result).toBeNull();
    expect(diagnostics).toContainEqual(expect.objectContaining({ code: 'log-header', file: 'checks.csv', line: 1 }));
  });

  it('an interrupted last line is warned of at its place', async () => {
    const { status, err, written } = await run(LOGGED, {
      'a.yaml': RECIPE,
      'checks.csv': `${CHECK_LOG_HEADER}\n2026-03-01,a`,
    });
    expect(status).toBe(0);
    expect(err).toContain('checks.csv:2:1: warning:');
    expect(text(written.get('checks.csv')).split('\n').slice(1, 2)).toEqual(['2026-03-01,a']);
  });

  it('takes whole numbers with a space behind their comma, or as three', async () => {
    const read = async (list: string) =>
      (await json(['release', 'a.yaml', '--masses', list, '--shots', '5'])).result.readings.map(
        (r: { reading: number }) => r.reading,
      );
    expect(await read('10, 11 mg')).toEqual([expect.closeTo(10, 9), expect.closeTo(11, 9)]);
    expect(await read('10mg,11mg')).toHaveLength(2);
    expect(await read('10,11,10 mg')).toHaveLength(3);
  });

  it('rejects resin past the age or thickness at which work stops', async () => {
    const at = (age: string, ...set: string[]) =>
      run([
        'release',
        'a.yaml',
        '--masses',
        '10.7,10.8,10.6 mg',
        '--shots',
        '5',
        '--temperature',
        '25 degC',
        '--age',
        age,
        ...set,
      ]);
    expect((await at('60 min')).out).not.toContain('the viscosity factor'); // a doubling in an hour: the limit is inside
    const old = await at('61 min');
    expect(old).toMatchObject({ status: 1, out: expect.stringContaining('At 61 min the viscosity factor is 2.0') });
    const byAge = ['--set', 'process.stop_at={age: 50 min}'];
    expect((await at('51 min', ...byAge)).out).toContain('the resin is older than `stop_at.age`, 50 min');
  });

  it('says where readings do not scatter because they are alike to their last digit', async () => {
    const { result } = await json(['release', 'a.yaml', '--masses', '10.7mg,10.7mg', '--shots', '5']);
    expect(result.uncertainty.scatter_pct).toBe(0);
    expect(result.defaults.join()).toContain('all 2 readings are alike');
  });

  it('a rejected syringe is a result, and status 1', async () => {
    const { result } = await json(['release', 'a.yaml', '--masses', '5mg', '--shots', '5']);
    expect(result).toMatchObject({ decision: 'reject', trim: null });
    expect((await run(['release', 'a.yaml', '--masses', '5mg', '--shots', '5'])).status).toBe(1);
  });

  it('says the program to set for this syringe', async () => {
    const thick = ['release', 'a.yaml', '--masses', '9.0,9.1,9.1mg', '--shots', '5', '--shot', '8'];
    const { status, out } = await run(thick);
    const { result } = await json(thick);
    const [stage] = result.trim.program.stages;
    expect(status).toBe(0);
    expect(stage.from_shot).toBe(8);
    expect(out).toContain(`From shot 8: ${stage.first_dwell_s} s, add ${stage.add_s} s every ${stage.every}`);
  });

  it('the last digit of the readings is how well they were read', async () => {
    const width = async (list: string) => {
      const { interval_uL } = (await json(['release', 'a.yaml', '--masses', list, '--shots', '5'])).result;
      return interval_uL[1] - interval_uL[0];
    };
    expect(await width('10.7mg,10.7mg')).toBeGreaterThan(0);
    expect((await width('10.7, 10.7 mg')) / (await width('10.70, 10.7 mg'))).toBeCloseTo(10, 6);
  });

  it.each([
    [['release', 'a.yaml'], '--dots or --masses'],
    [['release', 'a.yaml', '--dots', '3mm', '--masses', '3mg'], 'one of'],
    [['release', 'a.yaml', '--dots', '3,4'], 'a unit is missing: 3,4 mm'],
    [['release', 'a.yaml', '--dots', '5.5, 5.6, 5.45'], 'a unit is missing: 5.5, 5.6, 5.45 mm'],
    [['release', 'a.yaml', '--masses', '10.7'], 'a unit is missing: 10.7 mg'],
    [['release', 'a.yaml', '--dots', '3mm,,4mm'], 'empty place'],
    [['release', 'a.yaml', '--dots', '3,6mm,3,7mm'], 'may be 3.6 or 3 and 6'],
    [['release', 'a.yaml', '--masses', '10,7 mg'], 'may be 10.7 or 10 and 7'],
    [['release', 'a.yaml', '--masses', '3mm'], 'mass'],
    [['release', 'a.yaml', '--dots', '3mm', '--readability', '1mg'], '--reading-error'],
    [['release', 'a.yaml', '--dots', '3.3mm', '--log', 'l.csv', '--time', 'yesterday'], '--time yesterday'],
  ])('%j is wrong usage', async (argv, message) => {
    const { status, err, written } = await run(argv);
    expect(status).toBe(2);
    expect(err).toContain(message);
    expect(written.size).toBe(0);
  });
});

describe('trials', () => {
  it('writes a sheet that fit reads back once the masses are in', async () => {
    const { status, written, out } = await run(['trials', 'a.yaml', '-o', 'runs.csv', '--replicates', '2', '--json']);
    expect(status).toBe(0);
    const sheet = text(written.get('runs.csv'));
    expect(sheet.split('\n')[0]).toBe(
      'run,block,pressure [kPa],dwell [s],age [min],temperature [degC],shots,mass [mg],note',
    );
    const { runs } = JSON.parse(out).result;
    expect(sheet.split('\n')).toHaveLength(runs.length + 2);
    const empty = await run(['fit', 'a.yaml', 'runs.csv'], { 'a.yaml': RECIPE, 'runs.csv': sheet });
    expect(empty.status).toBe(1);
    expect(empty.err).toContain(
      'runs.csv:2:1: error: no row has a measurement: neither mass nor diameter [data-empty]',
    );
    // Filled in with what the recipe foretells, the recipe is confirmed: factor 1, no offset, no dead time.
    const filled = sheet
      .split('\n')
      .map((line, i) => line.replace(/,,$/, `,${runs[i - 1]?.expected_mg},`))
      .join('\n');
    const { result } = await json(['fit', 'a.yaml', 'runs.csv'], { 'a.yaml': RECIPE, 'runs.csv': filled });
    expect(result.parameters.map((p: { estimate: number }) => p.estimate)).toEqual([
      expect.closeTo(1, 6),
      expect.closeTo(0, 4),
      expect.closeTo(0, 6),
    ]);
  });

  it('by diameter the sheet is for dots, which fit reads back', async () => {
    const argv = ['trials', 'a.yaml', '--by', 'diameter', '--replicates', '1', '-o', 'dots.csv', '--json'];
    const { written, out } = await run(argv);
    const { result } = JSON.parse(out);
    expect(result.by).toBe('diameter');
    const sheet = text(written.get('dots.csv'));
    expect(sheet.split('\n')[0]).toContain(',shots,diameter [mm],note');
    const filled = sheet
      .split('\n')
      .map((line, i) => line.replace(/,,$/, `,${result.runs[i - 1]?.expected_mm},`))
      .join('\n');
    const back = await json(['fit', 'a.yaml', 'dots.csv'], { 'a.yaml': RECIPE, 'dots.csv': filled });
    expect(back.result.parameters[0].estimate).toBeCloseTo(1, 5);
    const { err, status } = await run(['trials', 'a.yaml', '--by', 'diameter', '--readability', '1 mg']);
    expect({ status, err }).toEqual({ status: 2, err: expect.stringContaining('--reading-error') });
  });

  it('draws a sheet to write on, the same bytes each time', async () => {
    const [a, b] = await Promise.all([1, 2].map(() => run(['trials', 'a.yaml', '--sheet', 'runs.pdf'])));
    expect(text(a!.written.get('runs.pdf')).slice(0, 5)).toBe('%PDF-');
    expect(a!.written).toEqual(b!.written);
    expect(a!.out).toContain('runs.pdf');
  });

  it('takes percentages, lists and counts, and refuses what is none', async () => {
    const { result } = await json([
      'trials',
      'a.yaml',
      '--pressures',
      '100,200 kPa',
      '--dwells',
      '2',
      '--ages',
      '15min,0.9 h',
      '--confidence',
      '10 %',
      '--offset-confidence',
      '3 kPa',
    ]);
    expect(result).toMatchObject({ pressures_kPa: [100, 200], ages_min: [15, 54] });
    expect(result.dwells_s).toHaveLength(2);
    expect(result.precision.map((p: { wanted: number | null }) => p.wanted)).toEqual([0.1, 3, null]);
    expect((await run(['trials', 'a.yaml', '--pressures', '0'])).status).toBe(2);
    expect((await run(['trials', 'a.yaml', '--pressures', 'many'])).status).toBe(2);
  });

  it('settings out of the limits are a finding at the limit', async () => {
    const { status, err } = await run(['trials', 'a.yaml', '--pressures', '900 kPa']);
    expect(status).toBe(1);
    expect(err).toMatch(/^a\.yaml:\d+:\d+: error: 900 kPa is outside/);
  });
});

describe('fit of a check log', () => {
  const check = (time: string, masses: string, ...more: string[]) => [
    ...[
      'release',
      'a.yaml',
      '--masses',
      masses,
      '--shots',
      '5',
      '--log',
      'l.csv',
      '--syringe',
      'S-1',
      '--operator',
      'AB',
    ],
    ...['--time', time, '--temperature', '23 degC', ...more],
  ];

  it('takes every reading as a trial at the setting and age of its check', async () => {
    let log: Record<string, string> = {};
    const again = async (argv: string[]) => {
      const { written } = await run(argv, { 'a.yaml': RECIPE, ...log });
      log = { 'l.csv': text(written.get('l.csv')) };
    };
    // what the recipe gives 8 % less of, at three dwells and two ages
    const shot = async (dwell: string, age: string) => {
      const { result } = await json(['shot', 'a.yaml', '--dwell', dwell, '--age', age, '--temperature', '23 degC']);
      return (result.mass_mg * 5) / 1.08;
    };
    for (const [i, [dwell, age]] of [
      ['0.4 s', '12 min'],
      ['0.52 s', '12 min'],
      ['0.8 s', '30 min'],
    ].entries()) {
      const mass = await shot(dwell!, age!);
      const masses = `${(mass * 0.998).toFixed(3)}, ${(mass * 1.002).toFixed(3)} mg`;
      await again(check(`2026-03-0${i + 1}T06:40:00Z`, masses, '--dwell', dwell!, '--age', age!));
    }
    const { result, diagnostics } = await json(
      ['fit', 'a.yaml', 'l.csv', '--fix', 'pressure_offset=0', '--fix', 'dead_time=0'],
      { 'a.yaml': RECIPE, ...log },
    );
    expect(result.rows).toBe(6);
    expect(result.parameters[0].estimate).toBeCloseTo(1.08, 3);
    expect(diagnostics.map((d: { code: string }) => d.code)).not.toContain('fit-conditions');
  });

  it('leaves out the checks of other recipes, and says where a reading is none', async () => {
    const row = (recipe: string, readings: string) =>
      `2026-03-02T06:40:00Z,${recipe},ab,S,L,AB,12,23,10,1.8,1.7,1.9,use,,,1,210,0.52,1,masses,"${readings}",1.8,1,0.52 s from 1,,,`;
    const log = (...rows: string[]) => ({ 'a.yaml': RECIPE, 'l.csv': [CHECK_LOG_HEADER, ...rows, ''].join('\n') });
    const argv = ['fit', 'a.yaml', 'l.csv', '--fix', 'pressure_offset=0', '--fix', 'dead_time=0'];
    const two = await run(
      argv,
      log(row('a.yaml', '10.6, 10.7 mg'), row('a.yaml', '10.8, 10.7 mg'), row('b.yaml', '99 mg')),
    );
    expect(two.status).toBe(0);
    expect(two.err).toContain('1 check of other recipes than a.yaml left out');
    const bad = await run(argv, log(row('a.yaml', '10.6, 10.7 mm')));
    expect(bad.status).toBe(1);
    expect(bad.err).toMatch(/^l\.csv:2:1: error: .*mass/);
  });
});

describe('fit', () => {
  const files = { 'line/a.yaml': RECIPE, 'line/data/runs.csv': TRIALS };

  it('--write puts a calibration into the recipe, which every command then uses', async () => {
    const { status, written } = await run(
      ['fit', 'line/a.yaml', 'line/data/runs.csv', '--write', '--date', '2026-03-04'],
      files,
    );
    expect(status).toBe(0);
    const after = text(written.get('line/a.yaml'));
    expect(after.startsWith(RECIPE)).toBe(true); // comments and layout kept, the block added at the end
    const { calibration } = parse(after);
    const { result } = await json(['fit', 'line/a.yaml', 'line/data/runs.csv'], files);
    expect(calibration).toEqual({
      viscosity_factor: expect.stringMatching(/^1\.06\d+ ± 0\.036$/), // the wider half of 1.027 to 1.097
      pressure_offset: expect.stringMatching(/^3\.7\d+ ± 3\.8 kPa$/),
      dead_time: expect.stringMatching(/^0\.02\d+ ± 0\.0091 s$/),
      date: '2026-03-04',
      data: 'data/runs.csv',
      digest: createHash('sha256').update(TRIALS).digest('hex'),
    });
    const plain = await json(['shot', 'line/a.yaml'], files);
    const calibrated = await json(['shot', 'line/a.yaml'], { 'line/a.yaml': after });
    expect(calibrated.result.models.join()).toContain('calibration');
    const [factor, offset, dead] = result.parameters.map((p: { estimate: number }) => p.estimate);
    const ratio = (((210 - 3 - offset) / (210 - 3)) * ((0.52 - dead) / 0.52)) / factor; // Hagen–Poiseuille by hand
    expect(calibrated.result.volume_uL / plain.result.volume_uL).toBeCloseTo(ratio, 4); // five digits are written
    // A second fit replaces the values and does not stack up on them.
    const again = await run(['fit', 'line/a.yaml', 'line/data/runs.csv', '--write', '--date', '2026-03-05'], {
      ...files,
      'line/a.yaml': after,
    });
    expect(text(again.written.get('line/a.yaml'))).toBe(after.replace('2026-03-04', '2026-03-05'));
  });

  it('leaves out a dead time that may be zero and that AICc does without, says so, and clears one that stands there', async () => {
    // Hagen–Poiseuille by hand: volumes go with pressure less friction and offset and with the dwell, none of it dead; ± 2 % in turn
    const flow = (kPa: number, s: number) => 0.02 * (kPa - 3 - 4) * s;
    const settings = [120, 210, 320].flatMap(kPa => [0.2, 0.5, 1.1, 2].map(s => [kPa, s] as const));
    const signs = [1, -1, -1, 1, -1, 1, 1, -1, 1, -1, 1, -1];
    const rows = settings.map(
      ([kPa, s], i) => `${kPa},${s},10,${(10 * flow(kPa, s) * (1 + 0.02 * signs[i]!)).toFixed(3)}`,
    );
    const data = ['pressure [kPa],dwell [s],shots,mass [mg]', ...rows, ''].join('\n');
    const first = await run(['fit', 'a.yaml', 'd.csv', '--write'], { 'a.yaml': RECIPE, 'd.csv': data });
    expect(first.status).toBe(0);
    expect(first.err).toMatch(/dead_time_s is not written: .* \[fit-needless\]/);
    const { calibration } = parse(text(first.written.get('a.yaml')));
    expect(Object.keys(calibration)).toEqual(['viscosity_factor', 'pressure_offset', 'date', 'data', 'digest']);
    const old = `${RECIPE}\ncalibration: {dead_time: 15 ± 5 ms}\n`;
    const again = await run(['fit', 'a.yaml', 'd.csv', '--write'], { 'a.yaml': old, 'd.csv': data });
    expect(parse(text(again.written.get('a.yaml'))).calibration.dead_time).toBe('0 s');
    const kept = await run(['fit', 'a.yaml', 'd.csv'], { 'a.yaml': RECIPE, 'd.csv': data });
    expect(kept.err).not.toContain('fit-needless');
  });

  it('takes the day from the clock without --date', async () => {
    const { written } = await run(['fit', 'line/a.yaml', 'line/data/runs.csv', '--write'], files);
    expect(parse(text(written.get('line/a.yaml'))).calibration.date).toBe('2026-03-02');
  });

  it('does not write what the data cannot tell', async () => {
    const few = TRIALS.split('\n').slice(0, 4).join('\n');
    const { status, written, err } = await run(['fit', 'line/a.yaml', 'line/data/runs.csv', '--write'], {
      ...files,
      'line/data/runs.csv': few,
    });
    expect(status).toBe(1);
    expect(written.size).toBe(0);
    expect(err).toContain('[fit-not-written]');
  });

  it('finds the outlier at its line, and draws the residuals', async () => {
    const { err, written, out } = await run(['fit', 'line/a.yaml', 'line/data/runs.csv', '-o', 'r.svg'], files);
    const [line] = TRIALS.split('\n')
      .map((row, i) => (row.includes('bubble') ? i + 1 : 0))
      .filter(n => n > 0);
    expect(err).toContain(`line/data/runs.csv:${line}:1: warning: line ${line} is an outlier`);
    expect(text(written.get('r.svg'))).toContain(`>line ${line}<`);
    expect(text(written.get('r.svg'))).toContain('residuals against age');
    for (const row of out.split('\n')) expect(row.length, row).toBeLessThanOrEqual(80);
  });

  it('--fix keeps a parameter, --tare takes the pan off', async () => {
    const fixed = await json(
      ['fit', 'line/a.yaml', 'line/data/runs.csv', '--fix', 'dead_time=0', '--fix', 'pressure_offset=-2 kPa'],
      files,
    );
    expect(
      fixed.result.parameters.map((p: { estimate: number; fixed: boolean }) => (p.fixed ? p.estimate : null)),
    ).toEqual([null, -2, 0]);
    const pan = TRIALS.replace(
      /^((?:[^,]*,){7})([\d.]+)/gm,
      (_, head: string, mass: string) => `${head}${(Number(mass) + 800).toFixed(1)}`,
    );
    const tared = await json(['fit', 'line/a.yaml', 'line/data/runs.csv', '--tare', '800 mg'], {
      ...files,
      'line/data/runs.csv': pan,
    });
    const bare = await json(['fit', 'line/a.yaml', 'line/data/runs.csv'], files);
    expect(tared.result.parameters[0].estimate).toBeCloseTo(bare.result.parameters[0].estimate, 6);
    const { status, err } = await run(['fit', 'line/a.yaml', 'line/data/runs.csv', '--tare', '20 mg'], files);
    expect(status).toBe(1);
    expect(err).toMatch(/runs\.csv:2:1: error: the mass is .* mg, the pan alone 20 mg/);
  });

  it('says where age and temperature are missing, and where a unit or a number is wrong', async () => {
    const cut = TRIALS.split('\n')
      .map(row =>
        row
          .split(',')
          .filter((_, i) => i !== 4 && i !== 5)
          .join(','),
      )
      .join('\n');
    const bare = await run(['fit', 'line/a.yaml', 'line/data/runs.csv'], { ...files, 'line/data/runs.csv': cut });
    expect(bare.err).toContain('no row has an age');
    expect(bare.err).toContain('no row has a temperature');
    const wrong = TRIALS.replace('mass [mg]', 'mass [mm]').replace(/^2,1,/m, '2,1,x');
    const { status, err } = await run(['fit', 'line/a.yaml', 'line/data/runs.csv'], {
      ...files,
      'line/data/runs.csv': wrong,
    });
    expect(status).toBe(1);
    const column = TRIALS.split('\n')[0]!.indexOf('mass') + 1;
    expect(err).toContain(`line/data/runs.csv:1:${column}: error:`);
    expect(err).toContain('line/data/runs.csv:3:5: error: "x');
    const bytes = Buffer.concat([Buffer.from(TRIALS), Buffer.from([0xff, 10])]);
    const latin = await run(['fit', 'line/a.yaml', 'r.csv'], { 'line/a.yaml': RECIPE, 'r.csv': bytes });
    expect(latin.status).toBe(1);
    expect(latin.err).toContain(`r.csv:${TRIALS.split('\n').length}:1: error: the data file is not UTF-8`);
  });

  it('fits a flow curve, and writes the best model or the one asked for', async () => {
    const curve = { 'a.yaml': RECIPE, 'f.csv': example('flow-curve.csv') };
    const { result } = await json(['fit', 'a.yaml', '--flow-curve', 'f.csv'], curve);
    expect(result.models[0].name).toBe('cross');
    const best = parse(
      text((await run(['fit', 'a.yaml', '--flow-curve', 'f.csv', '--write'], curve)).written.get('a.yaml')),
    ).resin.rheology;
    expect(best).toMatchObject({
      model: 'cross',
      zero: expect.stringMatching(/^2\.\d+ Pa\.s$/),
      m: expect.any(Number),
      measured: ['0.5 1/s', '1000 1/s'],
    });
    const table = parse(
      text(
        (await run(['fit', 'a.yaml', '--flow-curve', 'f.csv', '--write', '--model', 'table'], curve)).written.get(
          'a.yaml',
        ),
      ),
    ).resin.rheology;
    expect(table.points).toHaveLength(11);
    expect(table.points[0][0]).toBe('0.5 1/s');
    expect(table.measured).toBeUndefined();
  });

  it('writes none of the models that the curve cannot tell apart and whose shots differ, unless one is named', async () => {
    // made from 20 Pa and 3 Pa.s^0.8 with 5 % of scatter, measured to 100 1/s and used far beyond
    const rows = [
      ...['0.5,45.68', '1,24.45', '2,11.92', '4,7.93', '8,4.66', '16,2.885', '32,2.209', '64,1.698', '100,1.446'],
    ];
    const curve = { 'a.yaml': RECIPE, 'f.csv': ['shear_rate [1/s],viscosity [Pa.s]', ...rows, ''].join('\n') };
    const { result, diagnostics } = await json(['fit', 'a.yaml', '--flow-curve', 'f.csv'], curve);
    expect(diagnostics.map((d: { code: string }) => d.code)).toContain('fit-rivals');
    const near = result.models.filter((m: { aicc: number }) => m.aicc - result.models[0].aicc <= 4);
    expect(near.length).toBeGreaterThan(1);
    for (const { shot_uL } of near) expect(shot_uL).toBeGreaterThan(0);
    const refused = await run(['fit', 'a.yaml', '--flow-curve', 'f.csv', '--write'], curve);
    expect([refused.status, refused.written.size]).toEqual([1, 0]);
    expect(refused.err).toContain('[fit-not-written]');
    const named = await run(['fit', 'a.yaml', '--flow-curve', 'f.csv', '--write', '--model', 'casson'], curve);
    expect(named.status).toBe(0);
    const after = text(named.written.get('a.yaml'));
    expect(parse(after).resin.rheology).toMatchObject({ model: 'casson', measured: ['0.5 1/s', '100 1/s'] });
    expect((await run(['check', 'a.yaml'], { 'a.yaml': after })).out).toContain('[shear-outside-curve]');
  });

  it.each([
    ['--flow-curve', 'flow-curve.csv', ['flow curve at 25 °C', 'carreau-yasuda', 'residuals of cross']],
    ['--cure', 'thickening.csv', ['thickening with age', 'pot-life', 'residuals of pot-life']],
  ])('%s draws the curve with its models and what is left over', async (flag, name, words) => {
    const curve = { 'a.yaml': RECIPE, 'f.csv': example(name) };
    const { status, written } = await run(['fit', 'a.yaml', flag, 'f.csv', '-o', 'f.svg'], curve);
    expect(status).toBe(0);
    for (const word of words) expect(text(written.get('f.svg'))).toContain(word);
    const pdf = await run(['fit', 'a.yaml', flag, 'f.csv', '-o', 'f.pdf'], curve);
    expect(text(pdf.written.get('f.pdf')).startsWith('%PDF-')).toBe(true);
  });

  it('writes over a model that comes from a part, whose other keys go', async () => {
    const parts = {
      'line/.git/x': '',
      'line/a.yaml': 'recipe: 1\nresin:\n  from: part.yaml # Amber\nneedle: {gauge: 22, length: 12.7 mm}\n',
      'line/part.yaml': 'name: Amber 40\nrheology: {model: newtonian, viscosity: 2.4 Pa.s}\n',
      'f.csv': example('flow-curve.csv'),
    };
    const { status, written } = await run(['fit', 'line/a.yaml', '--flow-curve', 'f.csv', '--write'], parts);
    expect(status).toBe(0);
    const after = text(written.get('line/a.yaml'));
    expect(after).toContain('from: part.yaml # Amber');
    const shot = await run(['shot', 'line/a.yaml', '--pressure', '200 kPa', '--dwell', '1 s', '--json'], {
      ...parts,
      'line/a.yaml': after,
    });
    expect(JSON.parse(shot.out).result.models.join()).toContain('rheology cross');
  });

  it('fits a cure curve and writes it', async () => {
    const curve = { 'a.yaml': RECIPE, 'c.csv': example('thickening.csv') };
    const { written } = await run(['fit', 'a.yaml', '--cure', 'c.csv', '--write', '--model', 'pot-life'], curve);
    const { cure } = parse(text(written.get('a.yaml'))).resin;
    expect(cure).toMatchObject({ model: 'pot-life', factor: 2, activation_energy: '60 kJ/mol' });
    expect(Number.parseFloat(cure.time)).toBeCloseTo(54, -0.5); // made with a doubling in 54 min, 1.2 % scatter
  });

  it.each([
    [['fit', 'a.yaml'], 'name one data file'],
    [['fit', 'a.yaml', 'r.csv', '--cure', 'c.csv'], 'name one data file'],
    [['fit', 'a.yaml', 'r.csv', '--fix', 'deadtime=0'], 'did you mean "dead_time"'],
    [['fit', 'a.yaml', 'r.csv', '--write', '--set', 'needle.gauge=20'], 'exclude each other'],
    [['fit', '-', 'r.csv', '--write'], 'standard input'],
    [['fit', 'a.yaml', 'r.csv', '-o', 'r.png'], '.svg or .pdf'],
    [['fit', 'a.yaml', 'r.csv', '--write', '--date', '4 March'], 'YYYY-MM-DD'],
    [['fit', 'a.yaml', 'r.csv', '--model', 'casson'], '--write'],
  ])('%j is wrong usage', async (argv, message) => {
    const { status, err, written } = await run(argv, {
      'a.yaml': RECIPE,
      'r.csv': TRIALS,
      'c.csv': example('thickening.csv'),
    });
    expect({ status, written: written.size }).toEqual({ status: 2, written: 0 });
    expect(err).toContain(message);
  });

  it('a data file that is not there ends with 3', async () => {
    expect(await run(['fit', 'a.yaml', 'none.csv'])).toMatchObject({
      status: 3,
      err: 'error: none.csv: there is no such file or folder\n',
    });
  });
});

describe('trend and gauge-rr', () => {
  it('--one-side takes eight points or nine for a run', async () => {
    // Rule 2: so many points in a row on one side of the centre line; Nelson (1984) has nine, the Western Electric handbook eight (from memory).
    const values = [1, -1, 1, -1, 1, -1, ...Array(8).fill(0.4), -1, -1, -1, -1.2];
    const csv = `mean [uL]\n${values.map(v => (10 + v).toFixed(2)).join('\n')}\n`;
    const stable = async (...options: string[]) => {
      const words = ['trend', 'v.csv', '--rules', '2', '--target', '10', '--sigma', '1', ...options];
      return (await json(words, { 'v.csv': csv })).result.stable;
    };
    expect(await stable()).toBe(true);
    expect(await stable('--one-side', '9')).toBe(true);
    expect(await stable('--one-side', '8')).toBe(false);
  });

  const files = { 'checks.csv': example('checks.csv'), 'study.csv': example('gauge-study.csv') };

  it('finds the drift of the season, in text and as a picture', async () => {
    const { status, out, err, written } = await run(['trend', 'checks.csv', '-o', 't.svg'], files);
    expect(status).toBe(0);
    expect(out).toMatch(/^mean: individuals\n/);
    expect(err).toContain('rule 2');
    expect(err).toContain('checks.csv:1:');
    expect(text(written.get('t.svg'))).toContain('<svg');
    for (const row of out.split('\n')) expect(row.length, row).toBeLessThanOrEqual(80);
  });

  it('--by makes a chart for each cell', async () => {
    const { result } = await json(['trend', 'checks.csv', '--by', 'lot'], files);
    expect(result.by).toBe('lot');
    const lots = [
      ...new Set(
        example('checks.csv')
          .trim()
          .split('\n')
          .slice(1)
          .map(row => row.split(',')[4]),
      ),
    ];
    expect(result.groups.map((g: { group: string }) => g.group)).toEqual(lots);
    const points = result.groups.map((g: { result: { points: unknown[] } }) => g.result.points.length);
    expect(points.reduce((a: number, b: number) => a + b)).toBe(60);
    const { written } = await run(['trend', 'checks.csv', '--by', 'lot', '-o', 'l.pdf'], files);
    expect(text(written.get('l.pdf')).slice(0, 5)).toBe('%PDF-');
  });

  it('a log of several recipes has a chart for each, as `--by recipe` gives, and says so once', async () => {
    const rows = Array.from(
      { length: 24 },
      (_, i) => `${i % 2 ? 'slim' : 'wide'}.yaml,${i % 2 ? 1.8 + (i % 5) / 50 : 3.2 + (i % 7) / 50}`,
    );
    const log = `recipe,mean [uL]\n${rows.join('\n')}\n`;
    const found = await json(['trend', 'l.csv'], { 'l.csv': log });
    const named = await json(['trend', 'l.csv', '--by', 'recipe'], { 'l.csv': log });
    expect(found.result).toEqual(named.result);
    expect(found.result.groups.map((g: { group: string }) => g.group)).toEqual(['wide.yaml', 'slim.yaml']);
    const told = found.diagnostics.filter((d: { code: string }) => d.code === 'trend-several-recipes');
    expect(told).toHaveLength(1);
    expect(told[0].message).toContain('2 recipes');
    expect(named.diagnostics.map((d: { code: string }) => d.code)).not.toContain('trend-several-recipes');
  });

  it('reads rows of many lots once each, not once a lot', () => {
    let reads = 0;
    const cells = new Proxy(
      Array.from({ length: 3000 }, (_, i) => `L${i}`),
      {
        get: (target, key) => {
          if (typeof key === 'string' && /^\d+$/.test(key)) reads += 1;
          return Reflect.get(target, key);
        },
      },
    );
    expect(rowsByCell(cells).size).toBe(3000);
    expect(reads).toBeLessThan(3000 * 4);
  });

  it('a group with too few readings is a warning beside the others, alone it is an error', async () => {
    const log = 'lot,mean [uL]\na,1\na,2\na,1\nb,5\n';
    const { status, out, err } = await run(['trend', 'l.csv', '--by', 'lot', '--json'], { 'l.csv': log });
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(JSON.parse(out).result.groups[1]).toEqual({ group: 'b', result: null });
    expect((await run(['trend', 'l.csv'], { 'l.csv': 'mean\n1\n' })).status).toBe(1);
  });

  it('limits are in the unit of the column, and the same as without it', async () => {
    const plain = await json(['trend', 'checks.csv', '--target', '1.86', '--rules', '1,5'], files);
    const named = await json(['trend', 'checks.csv', '--target', '1.86 uL', '--rules', '1,5'], files);
    expect(named.result).toEqual(plain.result);
    expect(plain.result).toMatchObject({ center: 1.86, rules: [1, 5], unit: 'uL' });
    const wrong = await run(['trend', 'checks.csv', '--target', '1.86 mL'], files);
    expect(wrong).toMatchObject({ status: 2, err: expect.stringContaining('the column is in uL') });
  });

  it('reads standard input, and says which columns there are', async () => {
    const piped = await run(['trend', '-', '--column', 'x', '--json'], {}, 'x\n1\n2\n3\n2\n');
    expect(JSON.parse(piped.out).result.readings).toBe(4);
    const { status, err } = await run(['trend', 'checks.csv', '--column', 'men'], files);
    expect(status).toBe(1);
    expect(err).toContain('did you mean "mean"?');
  });

  it('gauge-rr tells parts from readers', async () => {
    const argv = [
      'gauge-rr',
      'study.csv',
      '--part',
      'dot',
      '--operator',
      'reader',
      '--value',
      'diameter',
      '--tolerance',
      '0.7',
    ];
    const { status, out, written } = await run([...argv, '-o', 'g.svg'], files);
    expect(status).toBe(0);
    expect(out).toContain('10 parts, 3 operators, 3 readings each');
    expect(text(written.get('g.svg'))).toContain('% of the study variation');
    const { result } = await json(argv, files);
    expect(result.tolerance_pct).toBeCloseTo((100 * 6 * result.gauge_rr_sd) / 0.7, 9);
    const broken = await run([...argv], { 'study.csv': 'dot,reader,diameter [mm]\nD1,AB,4\n' });
    expect(broken.status).toBe(1);
    expect(broken.err).toContain('study.csv:1:12: error:');
  });
});
