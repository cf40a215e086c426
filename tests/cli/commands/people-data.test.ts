import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { fakeIo } from '../fake-io.ts';

// The data of examples/floor as another spreadsheet would have saved them: the results are the same to the last digit, and what
// was taken is said.

const folder = join(import.meta.dirname, '../../../examples/floor');
const example = (name: string) => readFileSync(join(folder, name), 'utf8');
const RECIPE = example('pigtail.yaml');

async function run(argv: string[], files: Record<string, string>) {
  const io = fakeIo({ 'a.yaml': RECIPE, 'pigtail.yaml': RECIPE, ...files });
  const status = await runProgram(argv, io);
  return { status, out: io.out(), err: io.err() };
}
async function json(argv: string[], files: Record<string, string>) {
  const { out } = await run([...argv, '--json'], files);
  return JSON.parse(out);
}

/** Semicolons, decimal commas, heads in capitals with round brackets, a BOM, CRLF, and empty rows at the end. */
function foreign(csv: string): string {
  const [head = '', ...rows] = csv.trimEnd().split('\n');
  const heads = head.split(',').map(h => h.replace(/^(.)/, c => c.toUpperCase()).replace(/\[(.*)\]/, '($1)'));
  const cells = rows.map(row =>
    [...row.matchAll(/(?:^|,)("[^"]*"|[^,]*)/g)]
      .map(([, cell = '']) => cell)
      .map(cell => (/^-?\d+\.\d+$/.test(cell) ? cell.replace('.', ',') : cell)),
  );
  const empty = heads.map(() => '');
  return `\uFEFF${[heads, ...cells, empty, empty].map(row => row.join(';')).join('\r\n')}\r\n`;
}

describe('data as another spreadsheet saves them', () => {
  it.each([
    ['fit a.yaml data.csv', 'trial-runs.csv'],
    ['fit a.yaml --flow-curve data.csv', 'flow-curve.csv'],
    ['fit a.yaml --cure data.csv', 'thickening.csv'],
    ['trend data.csv', 'checks.csv'],
    ['follow data.csv pigtail.yaml', 'checks.csv'],
    ['trend data.csv --by lot', 'checks.csv'],
    ['gauge-rr data.csv --part dot --operator reader --value diameter', 'gauge-study.csv'],
  ])('%s of %s', async (call, name) => {
    const plain = await json(call.split(' '), { 'data.csv': example(name) });
    const { data, ...rest } = (await json(call.split(' '), { 'data.csv': foreign(example(name)) })).result;
    const { data: plainData, ...plainRest } = plain.result;
    expect(rest).toEqual(plainRest);
    expect(data).toMatchObject({ separator: ';', decimal: ',', rows: plainData.rows, left_out: 0 });
    const { err } = await run(call.split(' '), { 'data.csv': foreign(example(name)) });
    expect(err).toContain('data.csv: cells separated by semicolons; decimal commas; "');
    expect((await run(call.split(' '), { 'data.csv': example(name) })).err).not.toContain('separated');
  });

  it('--column names a column, with its unit where the head has none', async () => {
    const sheet = example('trial-runs.csv').replace('mass [mg]', 'Masse mg').replace('pressure [kPa]', 'Druck');
    const call = ['fit', 'a.yaml', 'r.csv', '--column', 'mass=Masse mg', '--column', 'pressure [kPa]=Druck'];
    const { result } = await json(call, { 'r.csv': sheet });
    const plain = await json(['fit', 'a.yaml', 'r.csv'], { 'r.csv': example('trial-runs.csv') });
    expect(result.parameters).toEqual(plain.result.parameters);
    expect(result.data.columns).toContainEqual({ name: 'mass', head: 'Masse mg', unit: 'mg' });
    const study = example('gauge-study.csv').replace('dot', 'Punkt');
    const gauge = ['gauge-rr', 's.csv', '--column', 'part=Punkt', '--operator', 'reader', '--value', 'diameter'];
    expect((await json(gauge, { 's.csv': study })).result.distinct_categories).toBeGreaterThan(1);
    const checks = example('checks.csv').replace('mean [uL]', 'Mittel uL');
    const trend = await json(['trend', 'c.csv', '--column', 'mean=Mittel uL'], { 'c.csv': checks });
    expect(trend.result.points).toHaveLength(60);
    expect((await json(['trend', 'c.csv', '--column', 'Mittel uL'], { 'c.csv': checks })).result.points).toHaveLength(
      60,
    );
  });

  it.each([
    [['--column', 'mass'], 'write name=head'],
    [['--column', 'mas=Masse'], 'did you mean "mass"?'],
    [['--column', 'mass=a', '--column', 'mass=b'], 'given twice'],
  ])('%j is wrong usage', async (flags, message) => {
    const { status, err } = await run(['fit', 'a.yaml', 'r.csv', ...flags], { 'r.csv': example('trial-runs.csv') });
    expect(status).toBe(2);
    expect(err).toContain(message);
  });
});

describe('rows with a fault', () => {
  it('forty bad cells are one message, with their number and the first three places', async () => {
    const rows = Array.from({ length: 40 }, (_, i) => `210,0.5,${i} mg`).join('\n');
    const { status, err } = await run(['fit', 'a.yaml', 'r.csv'], {
      'r.csv': `pressure [kPa],dwell [s],mass [mg]\n${rows}\n`,
    });
    expect(status).toBe(1);
    expect(err).toContain(
      'r.csv:2:9: error: "0 mg" is not a number (40 times: lines 2, 3, 4 and 37 more) [number-invalid]',
    );
    expect(err.match(/number-invalid/g)).toHaveLength(1);
  });

  it('rows that were not made yet are left out of a fit with one warning', async () => {
    const [head, ...rows] = example('trial-runs.csv').trimEnd().split('\n');
    const open = rows.slice(0, 5).map(row =>
      row
        .split(',')
        .map((c, i) => (head!.split(',')[i]!.startsWith('mass') ? '' : c))
        .join(','),
    );
    const sheet = [head, ...rows, ...open].join('\n');
    const { result, diagnostics } = await json(['fit', 'a.yaml', 'r.csv'], { 'r.csv': sheet });
    const plain = await json(['fit', 'a.yaml', 'r.csv'], { 'r.csv': example('trial-runs.csv') });
    expect(result.parameters).toEqual(plain.result.parameters);
    expect(result.data).toMatchObject({ rows: rows.length, left_out: 5 });
    const skipped = diagnostics.filter((d: { code: string }) => d.code === 'data-row-skipped');
    expect(skipped).toHaveLength(1);
    expect(skipped[0].message).toContain('5 rows have neither mass nor diameter and were left out: lines');
  });

  it('a gauge study says which readings are missing', async () => {
    const study = example('gauge-study.csv').replace(/^(D2,.*),[\d.]+$/m, '$1,');
    const call = ['gauge-rr', 's.csv', '--part', 'dot', '--operator', 'reader', '--value', 'diameter'];
    const { status, err } = await run(call, { 's.csv': study });
    expect(status).toBe(1);
    expect(err).toContain('the row has no diameter and was left out [data-row-skipped]');
    expect(err).toContain('[gauge-study-unbalanced]');
  });
});
