import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { readCsv } from '../../../src/data/csv/csv.ts';
import { WHOLE } from '../../helpers/part-recipes.ts';
import { BUILD_TIME, build, run as runBuilt } from '../built-program.ts';
import { fakeIo } from '../fake-io.ts';

async function run(argv: string[], text = WHOLE, world: Parameters<typeof fakeIo>[1] = {}) {
  const io = fakeIo({ 'a.yaml': text }, world);
  const status = await runProgram(['sweep', ...argv], io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}
const json = async (argv: string[], text?: string) => JSON.parse((await run([...argv, '--json'], text)).out).result;

describe('sweep', () => {
  it('a grid of two values and two results', async () => {
    const result = await json([
      'a.yaml',
      '--grid',
      'settings.dwell=0.2:0.6 s:3',
      '--grid',
      'resin.rheology.viscosity=2 Pa.s,4 Pa.s',
      '--take',
      'shot.volume_uL,shot.within_window',
    ]);
    expect(result.grid).toEqual([
      { path: 'settings.dwell', unit: 's', spacing: 'linear', values: [0.2, 0.4, 0.6] },
      { path: 'resin.rheology.viscosity', unit: 'Pa.s', spacing: 'list', values: [2, 4] },
    ]);
    const volume = (dwell: number, viscosity: number): number =>
      result.points.find((p: { values: number[] }) => p.values[0] === dwell && p.values[1] === viscosity).results[0];
    expect(result.points).toHaveLength(6);
    // Ideal air and a Newtonian resin: volume goes with dwell over viscosity.
    for (const [dwell, viscosity] of [
      [0.4, 2],
      [0.6, 2],
      [0.2, 4],
      [0.6, 4],
    ] as const) {
      expect(volume(dwell, viscosity) / volume(0.2, 2)).toBeCloseTo((dwell / 0.2) * (2 / viscosity), 9);
    }
    expect(result.failed).toBe(0);
  });

  it('a point is what the command says with --set', async () => {
    const { points } = await json([
      'a.yaml',
      '--grid',
      'process.temperature=18:30 degC:3',
      '--take',
      'setpoint.chosen.pressure_kPa',
    ]);
    const io = fakeIo({ 'a.yaml': WHOLE });
    await runProgram(['setpoint', 'a.yaml', '--set', 'process.temperature=24 degC', '--json'], io);
    expect(points[1].results[0]).toBe(JSON.parse(io.out()).result.chosen.pressure_kPa);
  });

  it('a point that cannot be computed is null with its findings counted, and the others are there', async () => {
    const { points, failed } = await json([
      'a.yaml',
      '--grid',
      'process.temperature=-300 degC,23 degC',
      '--take',
      'shot.volume_uL',
    ]);
    expect(points[0]).toMatchObject({ results: [null], diagnostics: 1 });
    expect(points[1].results[0]).toBeGreaterThan(0);
    expect(failed).toBe(1);
    expect(
      (await run(['a.yaml', '--grid', 'process.temperature=-300 degC,23 degC', '--take', 'shot.volume_uL'])).status,
    ).toBe(0);
  });

  it('ends with 1 and says why when no point can be computed', async () => {
    const { status, err } = await run(
      ['a.yaml', '--grid', 'settings.dwell=0.2:0.6 s:3', '--take', 'shot.volume_uL'],
      WHOLE.replace('takt: 40 s', 'takt: 40 mm'),
    );
    expect(status).toBe(1);
    expect(err).toMatch(
      /no point of the grid could be computed; the first one:\na\.yaml:\d+:\d+: error: .*\[unit-mismatch\]/,
    );
  });

  it('takes what mixing, the oven and putting the fibre in come to', async () => {
    const kept = 'resin.mix.base=100 g,resin.mix.hardener=10 g,resin.mix.tolerance=5 %,station.scale=0.01 g';
    const { out } = await run(
      [
        ...['a.yaml', '--grid', 'connector.free_fibre=5 mm,10 mm', '--json'],
        ...kept.split(',').flatMap(pair => ['--set', pair]),
        ...['--take', 'mix.least_mass_g,insert.buckling_N,oven.conversion_end'],
      ],
      WHOLE,
    );
    const { points } = JSON.parse(out).result;
    // 0.01 g over 5 %, and the ratio of 10 to 1 (JCGM 100: root of the sum of squares)
    expect(points[0].results[0]).toBeCloseTo((0.01 / 0.05) * Math.hypot(1.1, 11), 9);
    // Euler: half the length, four times the load
    expect(points[0].results[1] / points[1].results[1]).toBeCloseTo(4, 9);
    expect(points[0].results[2]).toBeNull(); // no oven
  });

  it('says why in the JSON, where a program reads it, and nowhere else', async () => {
    const { status, out, err } = await run(
      ['a.yaml', '--grid', 'settings.dwell=0.2:0.6 s:3', '--take', 'shot.volume_uL', '--json'],
      WHOLE.replace('takt: 40 s', 'takt: 40 mm'),
    );
    expect({ status, err }).toEqual({ status: 1, err: '' });
    expect(JSON.parse(out)).toMatchObject({
      command: 'sweep',
      result: { failed: 3, points: [{ results: [null] }, { results: [null] }, { results: [null] }] },
      diagnostics: [{ code: 'unit-mismatch', file: 'a.yaml', severity: 'error' }],
    });
  });

  it.each([
    [
      ['--grid', 'resin.rheology.viscosty=1:2 Pa.s:3', '--take', 'shot.volume_uL'],
      /--grid resin\.rheology\.viscosty: .*did you mean "viscosity"\?/,
    ],
    [['--grid', 'settings.dwell=1:2 mm:3', '--take', 'shot.volume_uL'], /--grid settings\.dwell: /],
    [
      ['--grid', 'settings.dwell=1:2', '--take', 'shot.volume_uL'],
      /--grid settings\.dwell=1:2: a range is from:to:steps/,
    ],
    [
      ['--grid', 'settings.dwell=1:2 s:3', '--take', 'shot.volum_uL'],
      /--take "shot\.volum_uL" is no key of shot: did you mean "shot\.volume_uL"\?/,
    ],
    [['--grid', 'settings.dwell=1:2 s:3', '--take', 'shots.volume_uL'], /did you mean "shot"\?/],
    [
      ['--grid', 'settings.dwell=1:2 s:3', '--grid', 'settings.dwell=1:2 s:3', '--take', 'shot.volume_uL'],
      /stands twice/,
    ],
    [
      ['--grid', 'connector.cavity[7].length=1:2 mm:2', '--take', 'shot.volume_uL'],
      /--grid connector\.cavity\[7\]\.length: /,
    ],
    [['--take', 'shot.volume_uL'], /--grid/],
    [['--grid', 'settings.dwell=1:2 s:3'], /--take/],
    [
      [
        '--grid',
        'settings.dwell=1:2 s:3',
        '--grid',
        'resin.rheology.viscosity=1:2 Pa.s:9',
        '--take',
        'shot.volume_uL',
        '-o',
        'x.svg',
      ],
      /a chart of 9 lines cannot be read/,
    ],
  ])('%j is wrong usage', async (args, message) => {
    const { status, err, written } = await run(['a.yaml', ...args]);
    expect(status).toBe(2);
    expect(err).toMatch(message);
    expect(written.size).toBe(0);
  });

  it('writes CSV with units in its heads, which our own reader takes', async () => {
    const { status, written, out } = await run([
      'a.yaml',
      '--grid',
      'settings.dwell=0.2:0.6 s:2',
      '--grid',
      'needle.gauge=21,22',
      '--take',
      'shot.volume_uL,ramp.end.reason',
      '-o',
      'x.csv',
    ]);
    expect({ status, out }).toEqual({ status: 0, out: '' });
    const text = written.get('x.csv') as string;
    expect(text.split('\n')[0]).toBe('settings.dwell [s],needle.gauge,shot.volume_uL,ramp.end.reason,diagnostics');
    expect(text.split('\n')).toHaveLength(6); // heads, four points, the last line's end
    expect(readCsv(text, 'x.csv')).toMatchObject({ diagnostics: [] });
  });

  it('writes a chart with a line for each value of the second axis, the first across', async () => {
    const { written } = await run([
      'a.yaml',
      '--grid',
      'resin.rheology.viscosity=1:8 Pa.s:4:log',
      '--grid',
      'needle.gauge=20,22',
      '--take',
      'shot.volume_uL,shot.dot_diameter_mm',
      '-o',
      'x.svg',
    ]);
    const svg = written.get('x.svg') as string;
    expect(svg).toMatch(/^<svg /);
    for (const word of [
      'resin.rheology.viscosity Pa.s',
      'shot.volume_uL',
      'shot.dot_diameter_mm',
      'gauge 20',
      'gauge 22',
    ]) {
      expect(svg).toContain(`>${word}<`);
    }
  });

  it('text: lines of at most 80 characters, one a point', async () => {
    const { out } = await run([
      'a.yaml',
      '--grid',
      'resin.rheology.viscosity=1:8 Pa.s:4:log',
      '--grid',
      'needle.gauge=20,22',
      '--take',
      'shot.volume_uL,setpoint.chosen.dwell_s',
    ]);
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
    expect(out).toMatch(/\n8 points\n$/);
  });

  it('reads a recipe from standard input, and shows progress on a terminal alone', async () => {
    const args = ['-', '--grid', 'settings.dwell=0.2:0.6 s:3', '--take', 'shot.volume_uL', '--json'];
    const { out, err, status } = await run(args, WHOLE, { stdin: WHOLE });
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(JSON.parse(out)).toMatchObject({ recipe: '-', name: 'Tide-gauge pigtail' });
  });
});

describe('threads', () => {
  const folder = mkdtempSync(join(tmpdir(), 'dwellbook-sweep-'));
  beforeAll(build, BUILD_TIME);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('the same bytes whatever their number', () => {
    writeFileSync(join(folder, 'a.yaml'), WHOLE);
    const outputs = ['1', '2', '3'].map(workers => {
      const out = join(folder, `${workers}.csv`);
      const args = [
        'a.yaml',
        '--grid',
        'resin.rheology.viscosity=1:8 Pa.s:10:log',
        '--grid',
        'process.temperature=-300 degC,20 degC,25 degC',
      ];
      const { status, stderr } = runBuilt(
        ['sweep', ...args, '--take', 'setpoint.chosen.dwell_s,cavity.seat_mm', '--workers', workers, '-o', out],
        { cwd: folder },
      );
      expect({ status, stderr }).toEqual({
        status: 0,
        stderr: `${out}: 30 points, 10 of them could not be computed\n`,
      });
      return readFileSync(out, 'utf8');
    });
    expect(outputs[1]).toBe(outputs[0]);
    expect(outputs[2]).toBe(outputs[0]);
    expect(outputs[0]!.split('\n')).toHaveLength(32);
  });
});
