import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { fakeIo } from '../fake-io.ts';

const root = join(import.meta.dirname, '..', '..', '..', 'recipes');
const files = Object.fromEntries(
  [
    'hydrophone-pigtail.yaml',
    'parts/connectors/standard.yaml',
    'parts/needles/18-gauge.yaml',
    'parts/resins/driftwood-5.yaml',
    'parts/stations/bench.yaml',
  ].map(name => [name, readFileSync(join(root, name), 'utf8')]),
);

async function call(...argv: string[]) {
  const io = fakeIo(files);
  const status = await runProgram(['mix', 'hydrophone-pigtail.yaml', ...argv], io);
  return { io, status, out: io.out(), err: io.err() };
}

const json = async (...argv: string[]) => JSON.parse((await call(...argv, '--json')).out).result;

describe('mix', () => {
  it('weighs a mass that is asked for', async () => {
    const { status, out, err } = await call('--mass', '11.2 g');
    expect(status).toBe(0);
    expect(err).toContain('[mix-runs-away]'); // 11 g left in the cup
    expect(out).toMatch(/^base +10\.00 g$/m); // 100 parts to 12
    expect(out).toMatch(/^hardener +1\.20 g$/m);
    expect(out).toContain('never leave a large mass standing');
  });

  it('takes kits and mass of a batch', async () => {
    const result = await json('--connectors', '480');
    const batch = fakeIo(files);
    await runProgram(['batch', 'hydrophone-pigtail.yaml', '--connectors', '480', '--json'], batch);
    const planned = JSON.parse(batch.out()).result;
    expect([result.kits, result.mass_g]).toEqual([planned.kits, planned.kit_g]);
    expect(planned.kit_g).toBeGreaterThanOrEqual(planned.least_kit_g);
  });

  it('writes the sheet, the same bytes every time, and names it', async () => {
    const [first, second] = [await call('-o', 'mixing.pdf'), await call('-o', 'mixing.pdf')];
    expect(first.out).toMatch(/^mixing sheet +mixing\.pdf$/m);
    const bytes = first.io.written.get('mixing.pdf');
    expect(Buffer.from(bytes!).subarray(0, 5).toString('latin1')).toBe('%PDF-');
    expect(Buffer.from(second.io.written.get('mixing.pdf')!).equals(Buffer.from(bytes!))).toBe(true);
  });

  it('refuses a mass beside a count of connectors, and one without its unit', async () => {
    expect((await call('--mass', '5 g', '--connectors', '10')).status).toBe(2);
    expect((await call('--mass', '5')).status).toBe(2);
  });
});
