import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { fakeIo } from '../fake-io.ts';

const demo = readFileSync(join(import.meta.dirname, '..', '..', '..', 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
const FILES = {
  'a.yaml': demo,
  'b.yaml': demo.replace('name: Tide-gauge pigtail', 'name: Short pigtail').replace('max: 13.5 mm', 'max: 12 mm'),
  'c.yaml': demo.replace('name: Amber 40', 'name: Amber 41'),
};

async function run(line: string) {
  const io = fakeIo(FILES);
  const status = await runProgram(['batch', ...line.split(' ').map(word => word.replace('_', ' '))], io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

describe('batch --changeover', () => {
  it('shares kits between recipes in their order, each with its number, and writes the schedule', async () => {
    const { status, out, written } = await run('a.yaml b.yaml --connectors 8,5 --changeover 4_min -o plan.csv --json');
    const { recipe, result } = JSON.parse(out);
    expect([status, recipe, result.kits, result.alone.kits]).toEqual([0, null, 1, 2]);
    expect(result.members.map((m: { connectors: number }) => m.connectors)).toEqual([8, 5]);
    const lines = String(written.get('plan.csv')).trim().split('\n');
    expect(lines).toHaveLength(3);
    // ready after 12 min, eight takts of 40 s, then the changeover
    expect(lines[2]).toMatch(/^1,1,b\.yaml,5,1,00:21,/);
  });

  it('shows it in 80 columns', async () => {
    const { out } = await run('a.yaml b.yaml --connectors 8 --changeover 4_min');
    expect(Math.max(...out.split('\n').map(line => line.length))).toBeLessThanOrEqual(80);
    for (const words of ['each by itself', 'changeover', 'batch done', 'Short pigtail']) expect(out).toContain(words);
  });

  it.each([
    ['a.yaml --connectors 8 --changeover 4_min', 2, /two recipes and more/],
    ['a.yaml b.yaml --connectors 8,5,3 --changeover 4_min', 2, /2 recipes and 3 numbers/],
    ['a.yaml b.yaml --connectors 8,5', 2, /a list goes with --changeover/],
    ['a.yaml b.yaml --connectors 8,x --changeover 4_min', 2, /--connectors/],
    ['a.yaml b.yaml --connectors 8 --changeover 4_min --stations 2', 2, /--stations is for a batch of one recipe/],
    ['a.yaml b.yaml --connectors 8 --changeover 4_min --prefer finish', 2, /--prefer finish/],
    ['a.yaml b.yaml --connectors 8 --changeover 4_min -o plan.pdf', 2, /must end in \.csv/],
    ['a.yaml b.yaml --connectors 8 --changeover 4', 2, /--changeover/],
    ['a.yaml b.yaml --connectors 8 --changeover 9_h --shift 08:00-12:00', 2, /the longest shift/],
    ['a.yaml c.yaml --connectors 8 --changeover 4_min', 1, /family-resins/],
  ])('%s ends with %i', async (line, status, message) => {
    const result = await run(line);
    expect(result.err).toMatch(message);
    expect(result.status).toBe(status);
  });
});
