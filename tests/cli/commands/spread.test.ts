import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { command } from '../../../src/cli/commands/spread.ts';
import { runProgram } from '../../../src/cli/program.ts';
import { progressLine } from '../../../src/cli/terminal/progress-line.ts';
import { fakeIo } from '../fake-io.ts';

const recipe = readFileSync(new URL('../../../recipes/tide-gauge-pigtail.yaml', import.meta.url), 'utf8');
const commands = [{ name: 'spread', summary: 'spread', group: 'From one recipe:', load: async () => ({ command }) }];

async function run(...argv: string[]) {
  const io = fakeIo({ 'slim.yaml': recipe });
  const status = await runProgram(['spread', 'slim.yaml', ...argv], io, commands);
  return { status, out: io.out(), err: io.err() };
}

describe('dwellbook spread', () => {
  it('prints both ways, the inputs by share, and what would help', async () => {
    const { status, out } = await run('--samples', '5000');
    expect(status).toBe(0);
    expect(out).toMatch(/first order +Monte Carlo/);
    const places = [
      'needle.bore',
      'resin.rheology.viscosity',
      'station.pressure.accuracy',
      'connector.cavity[0].diameter',
    ];
    const at = places.map(path => out.indexOf(`${path} `));
    expect(at.every(place => place > 0)).toBe(true); // whole paths, none cut short
    expect(out).toMatch(/what would help most[\s\S]*as it is[\s\S]*release/);
    expect(out).toMatch(/samples: 5000;\s+seed: 1/);
    expect(out.split('\n').every(line => line.length <= 80)).toBe(true);
  });

  it('--json has the keys that its page names, numbers in full', async () => {
    const { status, out } = await run('--json', '--samples', '5000', '--seed', '7');
    expect(status).toBe(0);
    const { command: name, result } = JSON.parse(out);
    expect(name).toBe('spread');
    expect(Object.keys(result.first_order)).toEqual(
      expect.arrayContaining(['mean_uL', 'standard_uncertainty_uL', 'inputs']),
    );
    expect(result.first_order.inputs[0]).toMatchObject({
      path: 'process.temperature', // with the bore: 40 % each
      sensitivity: expect.any(Number),
      share_pct: expect.any(Number),
    });
    const shares = result.first_order.inputs.map((input: { share_pct: number }) => input.share_pct);
    expect(shares.reduce((a: number, b: number) => a + b, 0)).toBeCloseTo(100, 9);
    const margins = result.first_order.inputs.map((input: { margin_share_pct: number }) => input.margin_share_pct);
    expect(margins.reduce((a: number, b: number) => a + b, 0)).toBeCloseTo(100, 9);
    const keys = ['mean_uL', 'standard_deviation_uL', 'outside_pct', 'cp', 'cpk'];
    for (const key of keys) expect(result.monte_carlo[key]).toEqual(expect.any(Number));
    expect(result.monte_carlo).toMatchObject({
      samples: 5000,
      seed: 7,
      interval_uL: [expect.any(Number), expect.any(Number)],
    });
  });

  it('the same call gives the same bytes', async () => {
    expect((await run('--json', '--samples', '2000')).out).toBe((await run('--json', '--samples', '2000')).out);
  });

  it('a measured bore brings the spread down', async () => {
    const sd = async (...argv: string[]) =>
      JSON.parse((await run('--json', '--samples', '2000', ...argv)).out).result.first_order.standard_uncertainty_uL;
    expect(await sd('--set', 'needle.bore=0.413 ± 0.002 mm')).toBeLessThan(0.8 * (await sd()));
  });

  it.each([
    [['--samples', '50'], /--samples.*100 or above/s],
    [['--seed', '-1'], /--seed/],
    [['--samples', 'many'], /--samples/],
  ])('wrong usage ends with 2: %s', async (argv, message) => {
    const { status, err } = await run(...argv);
    expect(status).toBe(2);
    expect(err).toMatch(message);
  });

  it('a recipe without a needle ends with 1 and says so', async () => {
    const { status, err } = await run('--set', 'needle=null');
    expect(status).toBe(1);
    expect(err).toMatch(/needle/);
  });
});

describe('the line of a long run', () => {
  function runFor(times: number[], stderr: boolean) {
    const io = fakeIo({}, { isTTY: { stdout: false, stderr } });
    const clock = [...times];
    const line = progressLine({ ...io, now: () => new Date(clock.shift()!) }, 'slim.yaml');
    for (let i = 1; i < times.length; i++) line.show(i / 10);
    line.clear();
    return io.err();
  }

  it('comes after a second, not too often, and goes away', () => {
    expect(runFor([0, 500, 1500, 1600, 1800], true)).toBe(`\rslim.yaml: 20 %\rslim.yaml: 40 %\r${' '.repeat(16)}\r`);
  });

  it('is not there for a short run, a file or a pipe', () => {
    expect(runFor([0, 200, 900], true)).toBe('');
    expect(runFor([0, 2000, 9000], false)).toBe('');
  });
});
