import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { evaluate } from 'mathjs';
import { describe, expect, it } from 'vitest';
import { COMPUTED } from './docs-numbers.ts';

const root = join(import.meta.dirname, '..');
const developers = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');
const readme = readFileSync(join(root, 'README.md'), 'utf8');

interface Worked {
  readonly id: string;
  /** As printed, and its own arithmetic. */
  readonly printed: string;
  readonly arithmetic: string;
}

/** "Worked `id`: … `arithmetic` = **number**", over line ends. */
const worked: Worked[] = [
  ...developers.matchAll(/Worked `([\w-]+)`(?:(?!Worked `)[\s\S])*?`([^`]+)`\s+=\s+\*\*([-\d.e]+)\*\*/g),
].map(([, id = '', arithmetic = '', printed = '']) => ({ id, arithmetic, printed }));

/** Half a unit of the last printed digit, and the rounding of a text in binary. */
function lastDigit(printed: string): number {
  const [mantissa = '', exponent = '0'] = printed.split('e');
  const decimals = mantissa.split('.')[1]?.length ?? 0;
  return 0.5000001 * 10 ** (Number(exponent) - decimals);
}

describe('worked numbers of DEVELOPERS.md', () => {
  it('are all found, each once, and each is computed here', () => {
    expect(worked).toHaveLength([...developers.matchAll(/Worked `/g)].length);
    expect(worked.map(({ id }) => id).sort()).toEqual(Object.keys(COMPUTED).sort());
  });

  it.each(worked)('$id: the arithmetic beside it gives the number printed', ({ arithmetic, printed }) => {
    expect(Math.abs(Number(evaluate(arithmetic)) - Number(printed))).toBeLessThanOrEqual(lastDigit(printed));
  });

  it.each(worked)('$id: our code gives the number printed', async ({ id, printed }) => {
    const computed = await COMPUTED[id]!();
    expect(Math.abs(computed - Number(printed))).toBeLessThanOrEqual(lastDigit(printed));
  });
});

describe('texts', () => {
  it.each([
    ['README.md', readme],
    ['DEVELOPERS.md', developers],
    ['recipes/README.md', readFileSync(join(root, 'recipes', 'README.md'), 'utf8')],
    ['examples/README.md', readFileSync(join(root, 'examples', 'README.md'), 'utf8')],
  ])('%s names only files that exist', (name, text) => {
    const folder = join(root, name, '..');
    const links = [...text.matchAll(/\]\((?!https?:)([^)#]+)(?:#[^)]*)?\)/g)].map(([, path = '']) =>
      join(folder, path),
    );
    const inCode = [
      ...text.matchAll(/`((?:src|tests|recipes|examples|\.build|\.ci|bin)\/[\w./-]*\.(?:ts|mjs|js|json|yaml|yml))`/g),
    ].map(([, path = '']) => join(root, path));
    expect([...links, ...inCode].filter(path => !existsSync(path))).toEqual([]);
    expect(links.length + inCode.length).toBeGreaterThan(0);
  });

  it('every model of physics and statistics is led to from DEVELOPERS.md', () => {
    for (const file of ['tube-flow', 'needle-flow', 'cone-flow', 'arrhenius', 'cure', 'air', 'iso6358', 'bore-fill'])
      expect(developers).toContain(`src/physics/${file}.ts`);
    for (const file of ['cavity', 'seat', 'cap', 'drop', 'hold-back', 'dot-calibration', 'matched-needle'])
      expect(developers).toContain(`src/physics/${file}.ts`);
    for (const file of ['uncertainty', 'intervals', 'control-chart', 'run-rules', 'capability', 'gauge-rr'])
      expect(developers).toContain(`src/stats/${file}.ts`);
  });
});
