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
  const status = await runProgram(['oven', 'hydrophone-pigtail.yaml', ...argv], io);
  return { io, status, out: io.out(), err: io.err() };
}

describe('oven', () => {
  it('shows first and last shot side by side, with what can hurt', async () => {
    const { status, out } = await call();
    expect(status).toBe(0);
    expect(out).toMatch(/first shot +last shot/);
    expect(out.replace(/\s+/g, ' ')).toContain('burn skin');
  });

  it('takes an age of its own, and draws the course as SVG and PDF', async () => {
    const svg = await call('--age', '30 min', '-o', 'cure.svg');
    expect(svg.out).toContain('at that age');
    expect(String(svg.io.written.get('cure.svg'))).toContain('glass transition');
    const pdf = await call('-o', 'cure.pdf');
    expect(Buffer.from(pdf.io.written.get('cure.pdf')!).subarray(0, 5).toString('latin1')).toBe('%PDF-');
    expect((await call('-o', 'cure.txt')).status).toBe(2);
  });

  it.each(['resin.cure.A1=1e-30 1/s', 'resin.cure.A1=1e30 1/s', 'process.oven=[[0 s, 1e-30 K], [1e30 s, 500 K]]'])(
    'ends with a result or a finding for %s',
    async value => {
      expect([0, 1]).toContain((await call('--set', value)).status);
    },
  );
});
