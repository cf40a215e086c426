import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../src/cli/program.ts';
import { fakeIo } from './fake-io.ts';

const RECIPE = readFileSync(join(import.meta.dirname, '../../recipes/tide-gauge-pigtail.yaml'), 'utf8');
const EXTREMES = [
  'resin.rheology={model: power-law, K: 1 Pa.s^n, n: 0.01}',
  'resin.rheology={model: cross, zero: 1e9 Pa.s, infinity: 0 Pa.s, time: 1e9 s, m: 0.99}',
];

// At 1.6 kPa the first would flow at (1600/1)^100 /s: beyond 1e308, so no number can be the answer.
describe('a flow beyond all numbers', () => {
  it.each(EXTREMES.flatMap(set => ['check', 'shot', 'setpoint', 'ramp'].map(command => ({ command, set }))))(
    '$command refuses $set with a finding, as the data it is, not as a fault',
    async ({ command, set }) => {
      const io = fakeIo({ 'a.yaml': RECIPE }, {});
      const status = await runProgram([command, 'a.yaml', '--json', '--set', set], io);
      const { diagnostics } = JSON.parse(io.out());
      expect({ status, err: io.err() }).toEqual({ status: 1, err: '' });
      expect(diagnostics).toContainEqual(
        expect.objectContaining({ code: 'flow-model-invalid', severity: 'error', path: 'resin.rheology' }),
      );
    },
  );
});

it('setpoint refuses a step of pressure that no regulator holds, at its key', async () => {
  const io = fakeIo({ 'a.yaml': RECIPE }, {});
  const status = await runProgram(['setpoint', 'a.yaml', '--json', '--set', 'station.pressure.step=1e-9 kPa'], io);
  expect({ status, err: io.err() }).toEqual({ status: 1, err: '' });
  expect(JSON.parse(io.out()).diagnostics).toEqual([
    expect.objectContaining({ code: 'setpoint-impossible', path: 'station.pressure.step', file: '--set' }),
  ]);
});
