import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { repetitions } from '../helpers/repetitions.ts';
import { root } from './built-program.ts';
import { unsound, type WatchedProgram, watchedProgram } from './watched-run.ts';

// A data file comes from a spreadsheet, a balance, a mail. Whatever has happened to it on the way, the command that reads it ends with
// a result, or says what is wrong and in which line.

const RECIPE = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
const floor = (name: string) => readFileSync(join(root, 'examples', 'floor', name));

const READERS: readonly (readonly [call: string, file: string])[] = [
  ['fit a.yaml data.csv', 'trial-runs.csv'],
  ['fit a.yaml data.csv --readability 0.1mg --write --date 2026-03-04', 'trial-runs.csv'],
  ['fit a.yaml --flow-curve data.csv -o curve.svg', 'flow-curve.csv'],
  ['fit a.yaml --cure data.csv', 'thickening.csv'],
  ['trend data.csv --lower 1.29 --upper 2.42 -o trend.svg', 'checks.csv'],
  ['trend data.csv --by lot --chart ewma', 'checks.csv'],
  ['trend data.csv --subgroup lot', 'checks.csv'],
  ['gauge-rr data.csv --part dot --operator reader --value diameter --tolerance 0.7 -o study.svg', 'gauge-study.csv'],
  ['release a.yaml --masses 11.5mg,11.6mg --shots 5 --log data.csv --incomplete', 'checks.csv'],
];

/** What stands in a cell that somebody has touched. */
const CELLS = [
  '',
  ' ',
  '0',
  '-0',
  '-1',
  '1e400',
  '-1e400',
  '1e300',
  '1e-300',
  '1e29',
  '1e-29',
  '1,5',
  '1.5.2',
  '0x1F',
  '#DIV/0!',
  'nan',
  '=1+1',
  '"',
  '""',
  '"a,b"',
  '"a\nb"',
  '2026-13-45',
  '02.03.2026',
  '1.5 mm',
  '__proto__',
  '\u0000',
  '\u202e',
  '½',
  'x'.repeat(10_000),
];
const HEADS = [
  'mass',
  'mass [kPa]',
  'mass [',
  'mass []',
  '[mg]',
  '__proto__ [mg]',
  'dwell [s]',
  '',
  'pressure [furlong]',
  '"',
];

type Mutation = (lines: string[]) => string[];
const at = fc.nat(1_000);

const inLine = (change: (cells: string[], k: number) => string[]) =>
  fc.tuple(at, at).map(
    ([i, k]): Mutation =>
      lines => {
        const line = 1 + (i % Math.max(1, lines.length - 1));
        return lines.map((text, n) => (n === line ? change(text.split(','), k).join(',') : text));
      },
  );
const inHead = (change: (cells: string[], k: number) => string[]) =>
  at.map(
    (k): Mutation =>
      ([head = '', ...rest]) => [change(head.split(','), k).join(','), ...rest],
  );
const replaced = (text: string) => (cells: string[], k: number) => cells.with(k % cells.length, text);
const whole = (change: (text: string) => string) =>
  fc.constant<Mutation>(lines => change(lines.join('\n')).split('\n'));

const mutation: fc.Arbitrary<Mutation> = fc.oneof(
  { weight: 6, arbitrary: fc.constantFrom(...CELLS).chain(cell => inLine(replaced(cell))) },
  { weight: 2, arbitrary: fc.constantFrom(...HEADS).chain(head => inHead(replaced(head))) },
  inHead((cells, k) => cells.toSpliced(k % cells.length, 1)),
  inHead((cells, k) => [...cells, cells[k % cells.length]!]),
  inLine((cells, k) => cells.toSpliced(k % cells.length, 1)),
  inLine(cells => [...cells, '1']),
  at.map(
    (i): Mutation =>
      lines =>
        lines.toSpliced(i % lines.length, 1),
  ),
  at.map(
    (i): Mutation =>
      lines =>
        lines.toSpliced(i % lines.length, 0, lines[i % lines.length]!),
  ),
  at.map(
    (i): Mutation =>
      lines =>
        lines.slice(0, 1 + (i % 4)),
  ),
  at.map(
    (i): Mutation =>
      lines =>
        lines.map((line, n) => (n > 0 ? lines[1 + (i % (lines.length - 1))]! : line)),
  ),
  whole(text => text.replaceAll(',', ';')),
  whole(text => text.replaceAll(',', '\t')),
  whole(text => `\ufeff${text}`),
  whole(text => text.replaceAll('\n', '\r\n')),
  whole(text => text.replaceAll('\n', '\r')),
  whole(text => `\n\n${text}\n\n`),
  whole(text => text.replaceAll(/\d\.\d+/g, '1e29')),
  whole(text => text.replaceAll(/\d\.\d+/g, '1e-29')),
  whole(text => text.replaceAll('.', ',')),
);

/** Bytes flipped after everything else. */
const flips = fc.oneof(
  { weight: 3, arbitrary: fc.constant([]) },
  fc.array(fc.tuple(fc.nat(1_000_000), fc.integer({ min: 1, max: 255 })), { minLength: 1, maxLength: 3 }),
);

function damaged(
  data: Buffer,
  mutations: readonly Mutation[],
  flipped: readonly (readonly [number, number])[],
): Uint8Array {
  const lines = mutations.reduce((now, change) => (now.length < 2 ? now : change(now)), data.toString().split('\n'));
  const bytes = new Uint8Array(Buffer.from(lines.join('\n')));
  for (const [place, by] of flipped) if (bytes.length > 0) bytes[place % bytes.length]! ^= by;
  return bytes;
}

let program: WatchedProgram;
beforeAll(async () => {
  program = await watchedProgram();
});
afterAll(() => program.close());

async function wrongOf(call: string, data: Uint8Array): Promise<string | null> {
  const ending = await program.run([...call.split(' '), '--json'], { 'a.yaml': RECIPE, 'data.csv': data });
  // a release is decided all the same when the log cannot be kept, and says so with status 3
  const decided = call.startsWith('release') && ending.status === 3;
  const wrong = unsound(decided ? { ...ending, status: 1, err: '' } : ending, [0, 1, 2, 3]);
  if (wrong !== null || ending.status !== 1) return wrong;
  const { diagnostics } = JSON.parse(ending.out) as { diagnostics: { line: number; severity: string }[] };
  return diagnostics.some(d => d.severity === 'error' && d.line >= 1) ? null : 'no error with a place';
}

describe('damaged data', () => {
  it.each(READERS)('%s', async (call, name) => {
    const original = floor(name);
    expect(await wrongOf(call, original)).toBeNull();
    await fc.assert(
      fc.asyncProperty(fc.array(mutation, { minLength: 1, maxLength: 3 }), flips, async (mutations, flipped) => {
        const data = damaged(original, mutations, flipped);
        const wrong = await wrongOf(call, data);
        if (wrong !== null)
          throw new Error(`${wrong}\n--- of\n${Buffer.from(data).toString('latin1').slice(0, 1_500)}`);
      }),
      { seed: 20261125, numRuns: repetitions(20, 120), endOnFailure: true },
    );
  });

  it.each([
    ['no byte', ''],
    ['one NUL', '\u0000'],
    ['a header alone', 'pressure [kPa],dwell [s],age [min],shots,mass [mg]\n'],
    ['commas alone', `${','.repeat(100)}\n`.repeat(100)],
    ['one cell of a megabyte', `a\n${'1'.repeat(1_000_000)}\n`],
    ['ten thousand columns', `${'a,'.repeat(10_000)}\n${'1,'.repeat(10_000)}\n`],
    ['a quote that never closes', `mean [uL]\n"${'1\n'.repeat(10_000)}`],
  ])('that is %s', async (_title, text) => {
    for (const [call] of READERS) expect(await wrongOf(call, Buffer.from(text))).toBeNull();
  });

  it('that is larger than any season is refused as a file', async () => {
    const data = new Uint8Array(64 * 2 ** 20 + 1).fill(0x31);
    const { status, err } = await program.run(['trend', 'data.csv'], { 'data.csv': data });
    expect({ status, err }).toEqual({ status: 3, err: 'error: data.csv: the file is larger than 64 MiB\n' });
    const rows = new TextEncoder().encode(`mean\n${'1\n'.repeat(100_000)}`);
    const many = await program.run(['trend', 'data.csv'], { 'data.csv': rows });
    expect(many).toMatchObject({ status: 3, err: 'error: data.csv: the file has more than 100000 lines\n' });
  });

  it('that is as large as may be is read', async () => {
    const rows = Array.from({ length: 99_999 }, (_, i) => `${1 + (i % 7) / 1000}\n`).join('');
    const { status } = await program.run(['trend', 'data.csv', '--json'], {
      'data.csv': new TextEncoder().encode(`mean\n${rows}`),
    });
    expect(status).toBeLessThan(2);
  });
});
