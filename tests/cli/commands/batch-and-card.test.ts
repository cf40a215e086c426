import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import type { CommandEntry } from '../../../src/cli/terminal/command.ts';
import { fakeIo } from '../fake-io.ts';

const fixture = (path: string) => readFileSync(join(import.meta.dirname, '..', '..', 'fixtures', 'ok', path), 'utf8');
const files = {
  'slim.yaml': fixture('tide-gauge-pigtail.yaml'),
  'parts/connectors/slim.yaml': fixture('parts/connectors/slim.yaml'),
};

const COMMANDS: CommandEntry[] = [
  { name: 'batch', summary: 'a batch', group: 'Recipe:', load: () => import('../../../src/cli/commands/batch.ts') },
  { name: 'card', summary: 'a card', group: 'Recipe:', load: () => import('../../../src/cli/commands/card.ts') },
  {
    ...{ name: 'release', summary: 'a release', group: 'Recipe:' },
    load: () => import('../../../src/cli/commands/release.ts'),
  },
];

async function call(...argv: string[]) {
  const io = fakeIo(files);
  const status = await runProgram(argv, io, COMMANDS);
  return { io, status, out: io.out(), err: io.err() };
}

const json = async (...argv: string[]) => JSON.parse((await call(...argv, '--json')).out);

describe('batch', () => {
  it('plans from a recipe file', async () => {
    const { status, out } = await call('batch', 'slim.yaml', '--connectors', '480');
    expect(status).toBe(0);
    expect(out).toMatch(/connectors +480 good, 480 started/);
  });

  it('reads every option', async () => {
    const { result } = await json(
      ...['batch', 'slim.yaml', '--connectors', '481', '--ends-per-assembly', '2', '--scrap', '3%', '--kit', '20 g'],
      ...['--mixing-loss', '0.4 mL', '--needle-life', '40', '--start', '08:30', '--shift', '08:00-12:00'],
      ...['--shift', '12:30-16:30', '--stations', '2', '--kit-price', '18', '--syringe-price', '0.9'],
      ...['--needle-price', '0.4', '--currency', 'EUR', '--prefer', 'finish'],
    );
    expect(result).toMatchObject({
      ...{ connectors: 481, ends_per_assembly: 2, assemblies: 241, connectors_started: 497, stations: 2 }, // 482/0.97 = 496.9
      ...{ start: '08:30', start_day: 1, preferred: 'finish', syringes_per_kit: 3 },
    });
    expect(result.kit_mL).toBeCloseTo(20 / 1.15, 9);
    expect(result.needles).toBeGreaterThan(result.syringes);
    expect(result.waste.mixing_loss_mL).toBeCloseTo(result.kits * 0.4, 9);
    expect(result.shifts.map((s: { from: string }) => s.from)).toEqual(['08:00', '12:30']);
    expect(result.cost.total).toBeCloseTo(18 * result.kits + 0.9 * result.syringes + 0.4 * result.needles, 9);
    expect(result.cost.currency).toBe('EUR');
  });

  it('takes a needle life of a syringe, a loss in percent, and a shift past midnight', async () => {
    const { result } = await json(
      ...['batch', 'slim.yaml', '--connectors', '50', '--needle-life', 'syringe', '--mixing-loss', '10 %'],
      ...['--shift', '22:00-06:00'],
    );
    expect(result.needles).toBe(result.syringes);
    expect(result.kit_mL).toBeCloseTo(5 / 0.9, 9);
    expect(result.start).toBe('22:00');
  });

  it('writes the file whose name says what it is', async () => {
    for (const [file, start] of [
      ['t.csv', 'syringe,kit,station'],
      ['t.svg', '<svg '],
      ['t.pdf', '%PDF-1.7'],
    ] as const) {
      const { io, status } = await call('batch', 'slim.yaml', '--connectors', '100', '-o', file);
      expect(status).toBe(0);
      const written = io.written.get(file)!;
      expect(
        Buffer.from(written as string)
          .toString('latin1')
          .slice(0, start.length),
      ).toBe(start);
    }
    const { io } = await call('batch', 'slim.yaml', '--connectors', '100', '-o', 't.csv');
    const rows = (io.written.get('t.csv') as string).trim().split('\n');
    expect(rows[0]).toContain('first_age [min]');
    expect(rows).toHaveLength(3); // 73 + 27 connectors
  });

  it.each([
    ['no number of connectors', ['slim.yaml'], /--connectors/],
    ['half connectors', ['slim.yaml', '--connectors', '1.5'], /whole number/],
    ['a scrap without its sign', ['slim.yaml', '--connectors', '9', '--scrap', '0.03'], /--scrap/],
    ['a scrap of all', ['slim.yaml', '--connectors', '9', '--scrap', '100 %'], /scrap is 100 %/],
    ['a kit in metres', ['slim.yaml', '--connectors', '9', '--kit', '20 m'], /--kit.*mass or a volume/],
    ['no kit', ['slim.yaml', '--connectors', '9', '--kit', '0 g'], /above zero/],
    ['a wrong clock', ['slim.yaml', '--connectors', '9', '--start', '24:30'], /HH:MM/],
    ['a wrong shift', ['slim.yaml', '--connectors', '9', '--shift', '8 to 12'], /HH:MM-HH:MM/],
    [
      'overlapping shifts',
      ['slim.yaml', '--connectors', '9', '--shift', '08:00-12:00', '--shift', '11:00-13:00'],
      /overlaps/,
    ],
    ['a price with its unit', ['slim.yaml', '--connectors', '9', '--kit-price', '18 EUR'], /plain number/],
    ['a file of another kind', ['slim.yaml', '--connectors', '9', '-o', 't.docx'], /\.pdf, \.svg, \.csv/],
  ])('%s is wrong usage', async (_, argv, message) => {
    const { status, err, out } = await call('batch', ...argv);
    expect(err).toMatch(message);
    expect(status).toBe(2);
    expect(out).toBe('');
  });

  it('ends with 1 and the place when it cannot be planned', async () => {
    const { status, err } = await call(
      'batch',
      'slim.yaml',
      '--connectors',
      '9',
      '--set',
      'station.syringe.fill="0.302 mL"',
    );
    expect(status).toBe(1);
    expect(err).toMatch(/error: .*\[(batch-syringe-small|ramp-no-shot)\]/);
  });
});

describe('card', () => {
  it('lists what it would say, and writes it where a file is named', async () => {
    const listed = await call('card', 'slim.yaml');
    expect(listed.status).toBe(0);
    expect(listed.out).toMatch(/settings +released[\s\S]*not written; name it with -o/);
    expect(listed.io.written.size).toBe(0);
    const { io, out } = await call('card', 'slim.yaml', '-o', 'card.pdf', '--mixed-at', '10:05', '--paper', 'letter');
    expect(out).toMatch(/mixed, first shot +10:05, 10:17/);
    expect(Buffer.from(io.written.get('card.pdf') as Uint8Array).toString('latin1', 0, 8)).toBe('%PDF-1.7');
  });

  it('writes the same bytes again', async () => {
    const bytes = async () =>
      (await call('card', 'slim.yaml', '-o', 'card.pdf')).io.written.get('card.pdf') as Uint8Array;
    expect(Buffer.compare(await bytes(), await bytes())).toBe(0);
  });

  it('has its content as JSON', async () => {
    const { command, result } = await json('card', 'slim.yaml', '--dots-per-circle', '3', '-o', 'card.pdf');
    expect(command).toBe('card');
    expect(result).toMatchObject({
      paper: 'a4',
      file: 'card.pdf',
      settings: 'released',
      pressure_kPa: 210,
      prime_shots: 3,
    });
    expect(result.dot.shots_per_circle).toBe(3);
    expect(result.ramp.steps[0]).toMatchObject({ from_shot: 1, at: null });
  });

  it('says what is computed, with status 0', async () => {
    const { status, err, out } = await call('card', 'slim.yaml', '--set', 'settings=null');
    expect(status).toBe(0);
    expect(out).toContain('computed, not released');
    expect(err).toContain('[card-not-released]');
  });

  it('says that steps are left out', async () => {
    const every = ['--set', 'settings.ramp={add: 0.01 s, every: 1}', '--set', 'process.tolerance=90 %'];
    const { err } = await call('card', 'slim.yaml', '-o', 'card.pdf', ...every);
    expect(err).toContain('[card-steps-summarised]');
  });

  it.each([
    ['a wrong clock', ['--mixed-at', '10.05'], /HH:MM/],
    ['no dots', ['--dots-per-circle', '0'], /whole number/],
    ['another paper', ['--paper', 'a5'], /a4, letter/],
  ])('%s is wrong usage', async (_, argv, message) => {
    const { status, err } = await call('card', 'slim.yaml', ...argv);
    expect(err).toMatch(message);
    expect(status).toBe(2);
  });
});

describe('card --syringe', () => {
  /** A log of the same call chain that a station uses. */
  async function logOf(masses: string): Promise<string> {
    const { io } = await call(
      ...['release', 'slim.yaml', '--masses', masses, '--shots', '5', '--shot', '3', '--age', '13.3 min'],
      ...['--temperature', '23 degC', '--log', 'checks.csv', '--syringe', 'S-118', '--lot', 'L-1', '--operator', 'AB'],
    );
    return String(io.written.get('checks.csv'));
  }
  const cardWith = async (log: string, ...argv: string[]) => {
    const io = fakeIo({ ...files, 'checks.csv': log });
    const status = await runProgram(['card', 'slim.yaml', '--log', 'checks.csv', ...argv], io, COMMANDS);
    return { io, status, out: io.out(), err: io.err() };
  };

  it('prints the card of a syringe that was released, to its own program', async () => {
    const log = await logOf('9.13, 9.16, 9.15 mg');
    const { status, out, io } = await cardWith(log, '--syringe', 'S-118', '-o', 'S-118.pdf');
    expect(status).toBe(0);
    expect(out).toMatch(/syringe +S-118, lot L-1: use with trim/);
    expect(out).toMatch(/pressure, dwell from shot 3/);
    const made = await cardWith(log, '--syringe', 'S-118', '--json');
    const { result } = JSON.parse(made.out);
    const written = /"(\d\.\d+) s from 3, add (\d\.\d+) s every (\d+)"/.exec(log)!;
    expect(result.ramp.stages).toEqual([
      { from_shot: 3, first_dwell_s: Number(written[1]), add_s: Number(written[2]), every: Number(written[3]) },
    ]);
    expect(Buffer.from(io.written.get('S-118.pdf') as Uint8Array).toString('latin1', 0, 8)).toBe('%PDF-1.7');
  });

  it.each([
    ['a recipe that has changed since', ['--syringe', 'S-118', '--set', 'process.tolerance=9 %'], /another state of/],
    ['a syringe that is not there', ['--syringe', 'S-119'], /no check of syringe S-119/],
  ])('%s has no card', async (_, argv, message) => {
    const { status, err, out } = await cardWith(await logOf('9.13, 9.16, 9.15 mg'), ...argv);
    expect(err).toMatch(message);
    expect(err).toContain('[card-syringe]');
    expect(status).toBe(1);
    expect(out).toBe('');
  });

  it('a syringe that was rejected has no card', async () => {
    const { status, err } = await cardWith(await logOf('4.13, 4.16, 4.15 mg'), '--syringe', 'S-118');
    expect(err).toMatch(/checks\.csv:2:1: error: .*rejected it/);
    expect(status).toBe(1);
  });

  it.each([
    [['--syringe', 'S-118'], /name it with --log/],
    [['--log', 'checks.csv'], /name it with --syringe/],
  ])('%j is wrong usage', async (argv, message) => {
    const { status, err } = await call('card', 'slim.yaml', ...argv);
    expect(err).toMatch(message);
    expect(status).toBe(2);
  });
});
