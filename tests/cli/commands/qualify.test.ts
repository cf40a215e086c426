import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { loadRecipe } from '../../../src/recipe/format/load.ts';
import { openPdf, textOf } from '../../report/pdf/read-pdf.ts';
import { fakeIo } from '../fake-io.ts';

const floor = join(import.meta.dirname, '..', '..', '..', 'examples', 'floor');
const file = (name: string) => readFileSync(join(floor, name), 'utf8');
const { digest } = await loadRecipe(join(floor, 'pigtail.yaml'), nodeFileSystem);
const log = file('checks.csv');
const FILES = {
  'pigtail.yaml': file('pigtail.yaml'),
  'study.csv': file('gauge-study.csv'),
  'runs.csv': file('trial-runs.csv'),
  'checks.csv': log,
  'old.csv': log.replace(digest, '0'.repeat(64)),
};
const STUDY = ['--gauge-study', 'study.csv', '--part', 'dot', '--operator', 'reader', '--value', 'diameter'];
const WHOLE = ['pigtail.yaml', ...STUDY, '--trials', 'runs.csv', '--log', 'checks.csv', '--samples', '10'];

async function run(argv: readonly string[]) {
  const io = fakeIo(FILES);
  const status = await runProgram(['qualify', ...argv], io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

describe('qualify', () => {
  it('gathers what a qualification rests on under the digest of the recipe, and finds nothing open', async () => {
    const { status, out } = await run([...WHOLE, '--json']);
    const { result } = JSON.parse(out);
    expect(status).toBe(0);
    expect(result).toMatchObject({ digest, open: [], check: { errors: 0 }, file: null });
    expect(result.sample_sizes[0]).toEqual({ confidence_pct: 95, reliability_pct: 95, allowed: 0, pieces: 59 });
    expect(result.gauge_study).toMatchObject({ parts: 10, operators: 3, repeats: 3, unit: 'mm' });
    expect(result.trials.rows).toBe(36);
    // 60 syringes, none rejected: the rule of the smallest of 60, 0.05^(1/60)
    expect(result.first_pieces).toMatchObject({ checks: 60, rejected: 0 });
    expect(result.first_pieces.shown_reliability_pct).toBeCloseTo(100 * 0.05 ** (1 / 60), 9);
    const [first] = result.first_pieces.rows;
    expect(first.syringe).toBe('S-118');
    const columns = log.split('\n').map(line => line.split(','));
    expect(first.mean_uL).toBeCloseTo(Number(columns[1]![columns[0]!.indexOf('mean [uL]')]), 12);
  });

  it('says what is missing, and what would be enough', async () => {
    const { status, out, err } = await run([
      'pigtail.yaml',
      '--log',
      'checks.csv',
      '--good',
      '99 %',
      '--samples',
      '10',
      '--json',
    ]);
    const { result, diagnostics } = JSON.parse(out);
    expect([status, err]).toEqual([0, '']);
    expect(result.open).toEqual([
      expect.stringContaining('gauge study'),
      expect.stringContaining('trials'),
      'first pieces show 95.1 %, 99 % is asked for: that takes 299 first pieces',
    ]);
    expect(diagnostics.map((d: { code: string }) => d.code)).toEqual(Array(3).fill('qualify-open'));
  });

  it('refuses a log whose checks were made with other inputs, with its line, and writes nothing', async () => {
    for (const [name, count] of [
      ['old.csv', '1 check of 60'],
      ['checks.csv', '60 checks of 60'],
    ] as const) {
      const changed = name === 'checks.csv' ? ['--set', 'process.tolerance=9 %'] : [];
      const { status, out, err, written } = await run(['pigtail.yaml', '--log', name, ...changed, '-o', 'pack.pdf']);
      expect([status, out, written.size]).toEqual([1, '', 0]);
      expect(err).toContain(`${name}:2:1: error: ${count}`);
      expect(err).toContain('[qualify-digest]');
    }
  });

  it('writes the same bytes again, a page to sign and every first piece', async () => {
    const [one, two] = [await run([...WHOLE, '-o', 'pack.pdf']), await run([...WHOLE, '-o', 'pack.pdf'])];
    const bytes = one.written.get('pack.pdf') as Uint8Array;
    expect(Buffer.compare(bytes, two.written.get('pack.pdf') as Uint8Array)).toBe(0);
    const pdf = await openPdf(bytes);
    const first = await textOf(pdf, 1);
    for (const words of [
      digest,
      'Approvals',
      'Signature',
      'Nothing is open',
      '210 kPa, 0.52 s',
      '10 parts',
      'Page 1 of 3',
    ]) {
      expect(first).toContain(words);
    }
    expect(await textOf(pdf, 2)).toContain('S-118');
    expect(await textOf(pdf, 3)).toContain('Page 3 of 3');
  });

  it.each([
    [['pigtail.yaml', '--good', '100 %'], 2, /below 100 %/],
    [['pigtail.yaml', '--confidence', '5 mm'], 2, /--confidence/],
    [['pigtail.yaml', '--may-fail', '1001'], 2, /at most 1000/],
    [['pigtail.yaml', '--log', 'nowhere.csv'], 3, /nowhere\.csv/],
    [['pigtail.yaml', '--gauge-study', 'study.csv'], 1, /part/],
  ] as const)('%j ends with %i', async (argv, status, message) => {
    const result = await run([...argv, '--samples', '10']);
    expect(result.status).toBe(status);
    expect(result.err).toMatch(message);
  });
});
