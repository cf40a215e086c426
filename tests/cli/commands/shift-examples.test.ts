import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { shellWords } from '../../helpers/shell-blocks.ts';
import { fakeIo } from '../fake-io.ts';

const root = join(import.meta.dirname, '../../..');
const recipe = 'recipes/tide-gauge-pigtail.yaml';
const page = readFileSync(join(root, 'examples/shift/README.md'), 'utf8');
const commands = [...page.matchAll(/^ {4}\$ dwellbook (.+)$/gm)].map(match => match[1]!);

describe('the page on a shift', () => {
  it('has a batch and a card', () => {
    expect(new Set(commands.map(line => shellWords(line)[0]))).toEqual(new Set(['batch', 'card']));
  });

  it.each(commands)('dwellbook %s', async line => {
    const io = fakeIo({ [recipe]: readFileSync(join(root, recipe)) });
    const argv = shellWords(line);
    const status = await runProgram(argv, io);
    // The demo's ramp has more steps than a card holds, as the page says.
    const found = [...io.err().matchAll(/(?:error|warning): .*\[([\w-]+)\]$/gm)].map(([, code]) => code);
    expect({ status, found: found.filter(code => code !== 'card-steps-summarised') }).toEqual({ status: 0, found: [] });
    expect(io.written.has(argv[argv.indexOf('-o') + 1]!)).toBe(true);
  });
});
