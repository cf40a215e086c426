import { describe, expect, test } from 'vitest';
import { takenNote } from '../../src/data/columns/data-taken.ts';
import { readGaugeData, type TrendColumns } from '../../src/data/trend-data.ts';
import { readTrendGroups } from '../../src/data/trend-groups.ts';
import { readFlowCurve, readTrialData } from '../../src/data/trial-data.ts';

const brief = (diagnostics: readonly { line: number; column: number; code: string }[]): string[] =>
  diagnostics.map(d => `${d.line}:${d.column} ${d.code}`);

const readTrend = (text: string, options: TrendColumns) => {
  const { groups, ...rest } = readTrendGroups(text, 'd.csv', options);
  return { data: groups?.[0]?.data ?? null, ...rest };
};

// The same two weighings, as one spreadsheet and another writes them.
const PLAIN = 'pressure [kPa],dwell [s],mass [mg]\n210,0.53,12.5\n210,0.8,18.75\n';
const SEMICOLONS = 'pressure [kPa];dwell [s];mass [mg]\r\n210;0,53;12,5\r\n210;0,8;18,75\r\n';
const TABS = '\uFEFFPressure (kPa)\tDWELL (s)\tMass (mg)\n210\t0,53\t12,5\n210\t0,8\t18,75\n\t\t\n';

describe('separators, decimal commas and heads', () => {
  test('are read alike, and what was taken is said', async () => {
    const plain = await readTrialData(PLAIN, 'p.csv');
    expect(plain.taken).toMatchObject({ separator: ',', decimal: '.', rows: 2, left_out: 0 });
    expect(takenNote(plain.taken!)).toBeNull();
    const german = await readTrialData(SEMICOLONS, 'p.csv');
    expect(german.rows).toEqual(plain.rows);
    expect(takenNote(german.taken!)).toBe('cells separated by semicolons; decimal commas');
    const tabs = await readTrialData(TABS, 'p.csv');
    expect(tabs.diagnostics).toEqual([]);
    expect(tabs.rows).toEqual(plain.rows);
    expect(tabs.taken!.columns[0]).toEqual({ name: 'pressure', head: 'Pressure (kPa)', unit: 'kPa' });
    expect(takenNote(tabs.taken!)).toContain('"Mass (mg)" taken as mass [mg]');
  });

  test('a separator is the one that the rows agree with, where the header has several', async () => {
    const { rows } = await readTrialData('mass, net [mg];pressure [kPa];dwell [s]\n12,5;210;0,53\n', 'p.csv', [
      { name: 'mass', unit: null, head: 'mass, net [mg]' },
    ]);
    expect(rows![0]!.mass).toBeCloseTo(12.5e-6, 15);
    const named = readTrend('sep=;\nday;x\n1;2,5\n', { column: 'x' });
    expect(named.data!.subgroups[0]!.values).toEqual([2.5]);
  });

  test('one column with decimal commas', () => {
    const { data, taken } = readTrend('mass [mg]\n12,5\n13\n', { column: 'mass' });
    expect(data!.subgroups.map(g => g.values[0])).toEqual([12.5, 13]);
    expect(taken).toMatchObject({ separator: null, decimal: ',' });
  });

  test('a point that may mark thousands is not guessed, one that cannot is a point', async () => {
    const text = 'pressure [kPa];dwell [s];mass [mg]\n210;0.53;12,5\n210;0.53;1.234\n210;0.53;1.234,5\n';
    const { diagnostics } = await readTrialData(text, 'p.csv');
    expect(brief(diagnostics)).toEqual(['3:10 number-invalid', '4:10 number-invalid']);
    expect(diagnostics[0]!.help).toContain('thousands');
    expect(diagnostics[1]!.help).toContain('thousands');
    // Without a decimal comma in the file, a point is a decimal point whatever stands between the cells.
    const points = await readTrialData('pressure [kPa];dwell [s];mass [mg]\n210;0.53;1.234\n', 'p.csv');
    expect(points.rows![0]!.mass).toBeCloseTo(1.234e-6, 15);
  });

  test('units in other capitals, where only one can be meant', async () => {
    const { rows, taken } = await readTrialData('PRESSURE [KPA],DWELL [S],MASS [MG]\n210,0.53,12.5\n', 'p.csv');
    expect(rows![0]!.pressure).toBe(210e3);
    expect(taken!.columns.map(c => c.unit)).toEqual(['kPa', 's', 'mg']);
    const shear = await readFlowCurve('Shear Rate (1/s);Viscosity (Pa.s)\n0,1;12\n', 'f.csv');
    expect(shear.rows![0]!).toMatchObject({ shearRate: 0.1, viscosity: 12 });
  });

  test('two columns that differ in capitals alone have to be told apart', async () => {
    const { diagnostics } = await readTrialData('pressure [kPa],dwell [s],Mass [mg],MASS [g]\n210,0.5,1,2\n', 'p.csv');
    expect(brief(diagnostics)).toContain('1:36 data-column-duplicate');
    expect(diagnostics.find(d => d.code === 'data-column-duplicate')!.message).toContain('"Mass [mg]" or "MASS [g]"');
  });
});

describe('a column that the call names', () => {
  const TEXT = 'Druck kPa;Zeit;Masse mg\n210;0,53;12,5\n';
  const druck = { name: 'pressure', unit: null, head: 'Druck kPa' };
  const masse = { name: 'mass', unit: null, head: 'masse mg' };

  test('has its unit from the name given, from brackets, or from the last word of its head', async () => {
    const zeit = { name: 'dwell', unit: 's', head: 'Zeit' };
    const { rows, taken, diagnostics } = await readTrialData(TEXT, 'p.csv', [druck, masse, zeit]);
    expect(diagnostics).toEqual([]);
    expect(rows![0]).toMatchObject({ pressure: 210e3, dwell: 0.53, mass: expect.closeTo(12.5e-6, 15) });
    expect(takenNote(taken!)).toContain('"Masse mg" taken as mass [mg]');
  });

  test('without a unit, or that is not there, is an error with its place', async () => {
    const { diagnostics } = await readTrialData(TEXT, 'p.csv', [
      druck,
      masse,
      { name: 'dwell', unit: null, head: 'Zeit' },
      { name: 'age', unit: null, head: 'Alter' },
    ]);
    expect(brief(diagnostics)).toEqual(['1:1 data-column-missing', '1:11 unit-missing']);
    expect(diagnostics[1]!.help).toContain('--column "dwell [s]=Zeit"');
  });
});

describe('rows without a measurement', () => {
  test('are left out of a run sheet with one warning, whatever else stands in them', async () => {
    const text = `pressure [kPa],dwell [s],mass [mg]\n${['210,0.5,12', '210,0.6,', '210,,', 'x,0.5,', '210,0.5,13', '210,0.7,'].join('\n')}\n`;
    const { rows, taken, diagnostics } = await readTrialData(text, 'p.csv');
    expect(rows!.map(r => r.line)).toEqual([2, 6]);
    expect(taken).toMatchObject({ rows: 2, left_out: 4 });
    expect(brief(diagnostics)).toEqual(['3:1 data-row-skipped']);
    expect(diagnostics[0]).toMatchObject({
      severity: 'warning',
      message: '4 rows have neither mass nor diameter and were left out: lines 3, 4, 5 and 1 more',
    });
  });

  test('none measured is an error', async () => {
    const { rows, diagnostics } = await readTrialData('pressure [kPa],dwell [s],mass [mg]\n210,0.5,\n', 'p.csv');
    expect(rows).toBeNull();
    expect(brief(diagnostics)).toEqual(['2:1 data-empty']);
  });

  test('of a trend and a gauge study alike', () => {
    const trend = readTrend('time,mean [uL]\nmon,2\ntue,\nwed,\nthu,3\n', { column: 'mean' });
    expect(brief(trend.diagnostics)).toEqual(['3:5 trend-cell-skipped']);
    expect(trend.diagnostics[0]!.message).toContain('2 rows have no value in "mean" and were left out: lines 3 and 4');
    const names = { part: 'part', operator: 'who', value: 'd' };
    const gauge = readGaugeData('Part;Who;D (mm)\n1;A;3,5\n2;A;\n', 'g.csv', names);
    expect(gauge.data).toEqual({ unit: 'mm', readings: [{ part: '1', operator: 'A', value: 3.5 }] });
    expect(brief(gauge.diagnostics)).toEqual(['3:1 data-row-skipped']);
  });
});
