import { describe, expect, test } from 'vitest';
import { CHECK_LOG_HEADER, type CheckRow, checkLogLine, readCheckLog } from '../../src/data/release-log.ts';
import { readGaugeData, type TrendColumns } from '../../src/data/trend-data.ts';
import { readTrendGroups } from '../../src/data/trend-groups.ts';
import { readCureCurve, readFlowCurve, readTrialData } from '../../src/data/trial-data.ts';

const brief = (diagnostics: readonly { line: number; column: number; code: string }[]): string[] =>
  diagnostics.map(d => `${d.line}:${d.column} ${d.code}`);

describe('trial data', () => {
  test('any unit of the right dimension, to SI', async () => {
    const { rows, diagnostics } = await readTrialData(
      'run,pressure [psi],dwell [ms],age [min],temperature [degC],shots,mass [mg]\n1,30,500,15,23,5,12.5\n2,40,500,,,,10\n',
      't.csv',
    );
    expect(diagnostics).toEqual([]);
    expect(rows).toHaveLength(2);
    expect(rows![0]!.pressure).toBeCloseTo(30 * 6894.757293168361, 6); // one psi by definition
    expect(rows![0]).toMatchObject({ dwell: 0.5, age: 900, temperature: 296.15, shots: 5, diameter: null, line: 2 });
    expect(rows![0]!.mass).toBeCloseTo(12.5e-6, 18);
    expect(rows![1]).toMatchObject({ age: null, temperature: null, shots: 1, line: 3 });
  });

  test('every bad cell and header at once, with its place', async () => {
    const { rows, diagnostics } = await readTrialData(
      'pressure [mm],dwell,shots,mass [mg]\n200,0.5,2.5,1\n200,"0,5",1,-1\n,0.5,1,x\n',
      't.csv',
    );
    expect(rows).toBeNull();
    expect(brief(diagnostics)).toEqual([
      '1:1 unit-mismatch',
      '1:15 unit-missing',
      '2:9 data-out-of-range',
      '3:13 data-out-of-range',
      '4:8 number-invalid',
    ]);
    expect(diagnostics[0]).toMatchObject({ path: 'pressure', file: 't.csv', severity: 'error' });
  });

  test('a decimal comma between commas, a hexadecimal number and an empty cell say what would do', async () => {
    const { diagnostics } = await readTrialData(
      'pressure [kPa],dwell [s],diameter [mm]\n200,"0,5",3\n0x10,0.5,3\n200,,3\n',
      't.csv',
    );
    expect(brief(diagnostics)).toEqual(['2:5 number-invalid', '3:1 number-invalid', '4:5 data-cell-missing']);
    expect(diagnostics[0]!.help).toContain('decimal point');
  });

  test('missing columns name their likely twin', async () => {
    const { diagnostics } = await readTrialData('presure [kPa],dwell [s]\n1,1\n', 't.csv');
    expect(brief(diagnostics)).toEqual(['1:1 data-column-missing', '1:1 data-column-missing']);
    expect(diagnostics.map(d => d.help).join()).toContain('did you mean "presure"?');
  });

  test('a row with mass and diameter is refused', async () => {
    const { diagnostics } = await readTrialData('pressure [kPa],dwell [s],mass [mg],diameter [mm]\n1,1,1,1\n', 't.csv');
    expect(brief(diagnostics)).toEqual(['2:1 data-cell-missing']);
  });
});

describe('curves', () => {
  test('a flow curve from viscosity or shear stress', async () => {
    const stress = await readFlowCurve('shear_rate [1/s],shear_stress [Pa]\n2,10\n', 'f.csv');
    expect(stress.rows).toEqual([{ shearRate: 2, viscosity: 5, temperature: null, line: 2 }]);
    const viscosity = await readFlowCurve(
      'shear_rate [1/min],viscosity [mPa.s],temperature [degF]\n120,5000,77\n',
      'f.csv',
    );
    expect(viscosity.rows![0]).toMatchObject({ shearRate: 2, viscosity: 5 });
    expect(viscosity.rows![0]!.temperature).toBeCloseTo(298.15, 10);
    expect((await readFlowCurve('shear_rate [1/s]\n2\n', 'f.csv')).diagnostics[0]!.message).toContain('neither');
  });

  test('a cure curve from viscosity or factor', async () => {
    const { rows } = await readCureCurve('age [min],factor\n0,1\n30,1.4\n', 'c.csv');
    expect(rows!.map(r => [r.age, r.factor])).toEqual([
      [0, 1],
      [1800, 1.4],
    ]);
    expect((await readCureCurve('age [min],factor\n0,\n', 'c.csv')).rows).toBeNull();
  });
});

describe('check log', () => {
  const row: CheckRow = {
    time: '2026-03-02T06:40:00+01:00',
    recipe: 'recipes/tide-gauge.yaml',
    digest: 'ab12',
    syringe: 'S-7',
    lot: 'L3',
    operator: 'M, R',
    age: 900,
    temperature: 296.15,
    shots: 5,
    mean: 2.34e-9,
    low: 2.3e-9,
    high: 2.38e-9,
    decision: 'use with trim',
    trim: -0.02,
    note: '=none',
    shot: 1,
    pressure: 210e3,
    dwell: 0.52,
    lotFactor: 1,
    kind: 'masses',
    readings: '13.4, 13.5 mg',
    predicted: 2.41e-9,
    thickness: 1.03,
    program: '0.5 s from 1, add 0.03 s every 7',
    needle: 'N-4',
    picture: '',
    readingError: 4e-5,
  };

  test('a line of the log, in the units of its header', () => {
    expect(checkLogLine(row)).toBe(
      `2026-03-02T06:40:00+01:00,recipes/tide-gauge.yaml,ab12,S-7,L3,"M, R",15,23,5,2.34,2.3,2.38,use with trim,-0.02,'=none,1,210,0.52,1,masses,"13.4, 13.5 mg",2.41,1.03,"0.5 s from 1, add 0.03 s every 7",N-4,,0.04`,
    );
    expect(CHECK_LOG_HEADER.split(',')).toHaveLength(27);
  });

  test('is read back', async () => {
    const { rows, diagnostics } = await readCheckLog(
      `${CHECK_LOG_HEADER}\n${checkLogLine({ ...row, low: null, note: 'ok' })}\n`,
      'l.csv',
    );
    expect(diagnostics).toEqual([]);
    const back = rows![0]!;
    expect(back).toMatchObject({
      ...row,
      low: null,
      note: 'ok',
      mean: expect.closeTo(2.34e-9, 20),
      high: expect.closeTo(2.38e-9, 20),
    });
  });

  test('a time that is none, and a missing decision column, are errors', async () => {
    const { rows, diagnostics } = await readCheckLog(
      'time,mean [uL]\n2.3.2026,2\n2026-13-40,2\n2026-02-30T06:40Z,2\n',
      'l.csv',
    );
    expect(rows).toBeNull();
    expect(brief(diagnostics)).toEqual([
      '1:1 data-column-missing',
      '2:1 data-time-invalid',
      '3:1 data-time-invalid',
      '4:1 data-time-invalid', // no 30 February
    ]);
  });
});

function readTrendData(text: string, file: string, options: TrendColumns) {
  const { groups, diagnostics } = readTrendGroups(text, file, options);
  return { data: groups?.[0]?.data ?? null, diagnostics };
}

describe('readings for trend and gauge study', () => {
  test('single readings with the time as label; rows without a value are left out with a warning', () => {
    const { data, diagnostics } = readTrendData('time,mean [uL]\nmon,2\ntue,\nwed,3\n', 'l.csv', { column: 'mean' });
    expect(data).toEqual({
      unit: 'uL',
      subgroups: [
        { label: 'mon', values: [2] },
        { label: 'wed', values: [3] },
      ],
    });
    expect(brief(diagnostics)).toEqual(['3:5 trend-cell-skipped']);
  });

  test('subgroups by size and by column', () => {
    const text = 'shift,x\na,1\nb,2\na,3\nb,4\na,5\n';
    expect(readTrendData(text, 'd.csv', { column: 'x', subgroup: 2 }).data!.subgroups).toEqual([
      { label: '1', values: [1, 2] },
      { label: '3', values: [3, 4] },
      { label: '5', values: [5] },
    ]);
    expect(readTrendData(text, 'd.csv', { column: 'x', subgroup: 'shift' }).data!.subgroups).toEqual([
      { label: 'a', values: [1, 3, 5] },
      { label: 'b', values: [2, 4] },
    ]);
  });

  test('a column that is not there, and cells that are no numbers', () => {
    expect(brief(readTrendData('a,b\n1,2\n', 'd.csv', { column: 'c', subgroup: 'd' }).diagnostics)).toEqual([
      '1:1 data-column-missing',
      '1:1 data-column-missing',
    ]);
    expect(brief(readTrendData('a\n1\nx\n', 'd.csv', { column: 'a' }).diagnostics)).toEqual(['3:1 number-invalid']);
  });

  test('a gauge study needs part and operator wherever there is a value', () => {
    const names = { part: 'part', operator: 'who', value: 'd' };
    expect(readGaugeData('part,who,d [mm]\n1,A,3.5\n', 'g.csv', names).data).toEqual({
      unit: 'mm',
      readings: [{ part: '1', operator: 'A', value: 3.5 }],
    });
    expect(brief(readGaugeData('part,who,d\n1,,3.5\n2,B,\n', 'g.csv', names).diagnostics)).toEqual([
      '2:3 data-cell-missing',
      '3:1 data-row-skipped',
    ]);
  });
});
