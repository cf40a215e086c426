import { join, normalize } from 'node:path';
import { evaluate } from 'mathjs';
import { describe, expect, it } from 'vitest';
import { COMPUTED } from './docs-numbers.ts';
import { anchorsOf, filesNamed, linksOf, missingFiles, PAGES, pageText } from './helpers/pages.ts';

const MODELS = ['src/physics/README.md', 'src/stats/README.md'];
const models = MODELS.map(pageText).join('\n');

interface Worked {
  readonly id: string;
  /** As printed, and its own arithmetic. */
  readonly printed: string;
  readonly arithmetic: string;
}

/** "Worked `id`: … `arithmetic` = **number**", over line ends. */
const worked: Worked[] = [
  ...models.matchAll(/Worked\s+`([\w-]+)`(?:(?!Worked\s+`)[\s\S])*?`([^`]+)`\s+=\s+\*\*([-\d.e]+)\*\*/g),
].map(([, id = '', arithmetic = '', printed = '']) => ({ id, arithmetic, printed }));

/** Half a unit of the last printed digit, and the rounding of a text in binary. */
function lastDigit(printed: string): number {
  const [mantissa = '', exponent = '0'] = printed.split('e');
  const decimals = mantissa.split('.')[1]?.length ?? 0;
  return 0.5000001 * 10 ** (Number(exponent) - decimals);
}

describe('worked numbers of the models', () => {
  it('are all found, each once, and each is computed here', () => {
    expect(worked).toHaveLength([...models.matchAll(/Worked\s+`/g)].length);
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

describe('pages', () => {
  it.each(PAGES)('%s names only files and places that exist', name => {
    const text = pageText(name);
    const links = linksOf(text).map(({ path, anchor }) => ({
      path: path === '.' ? name : join(name, '..', path),
      anchor,
    }));
    expect(missingFiles([...links.map(({ path }) => path), ...filesNamed(text)])).toEqual([]);
    const places = links.filter(({ anchor }) => anchor !== null);
    expect(places.filter(({ path, anchor }) => !anchorsOf(pageText(path)).includes(anchor!))).toEqual([]);
  });

  it('are all reached from README.md', () => {
    const reached = new Set<string>();
    const follow = (name: string) => {
      if (reached.has(name)) return;
      reached.add(name);
      for (const { path } of linksOf(pageText(name))) {
        const target = normalize(join(name, '..', path));
        const page = PAGES.find(one => one === target || one === join(target, 'README.md'));
        if (page !== undefined) follow(page);
      }
    };
    follow('README.md');
    expect(PAGES.filter(name => !reached.has(name))).toEqual([]);
  });

  it('say nothing twice', () => {
    const homes = new Map<string, string[]>();
    for (const name of PAGES) {
      for (const sentence of sentencesOf(pageText(name))) homes.set(sentence, [...(homes.get(sentence) ?? []), name]);
    }
    expect([...homes].filter(([, names]) => names.length > 1)).toEqual([]);
  });

  it('the pages of the models lead to every model of physics and statistics', () => {
    for (const file of [
      'flow/tube-flow',
      'flow/needle-flow',
      'flow/cone-flow',
      'cure/arrhenius',
      'cure/cure',
      'air/air',
    ])
      expect(models).toContain(`src/physics/${file}.ts`);
    for (const file of ['air/iso6358', 'cavity/bore-fill', 'cavity/cavity', 'cavity/seat', 'cavity/matched-needle'])
      expect(models).toContain(`src/physics/${file}.ts`);
    for (const file of ['drop/cap', 'drop/drop', 'drop/hold-back', 'drop/dot-calibration'])
      expect(models).toContain(`src/physics/${file}.ts`);
    for (const file of ['uncertainty', 'intervals', 'control-chart', 'run-rules', 'capability', 'gauge-rr'])
      expect(models).toContain(`src/stats/${file}.ts`);
  });
});

/** Sentences and clauses of a page's prose, of a length that is not there twice by chance; no code, no tables. */
function sentencesOf(text: string): string[] {
  const prose = text
    .replaceAll(/^```[\s\S]*?^```$/gm, '')
    .replaceAll(/^(?: {4}|\|).*$/gm, '')
    .replaceAll(/\s+/g, ' ');
  return prose.split(/(?<=[.:;]) /).filter(sentence => sentence.split(' ').length >= 7);
}
