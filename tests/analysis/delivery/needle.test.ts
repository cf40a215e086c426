import { describe, expect, test } from 'vitest';
import { resolveNeedle, resolveOutside } from '../../../src/analysis/delivery/needle.ts';
import type { Needle, Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const mm = 1e-3;
const needleOf = (needle: unknown) => resolveNeedle(exampleRecipe({ needle }));

describe('resolveNeedle', () => {
  test('takes bore and outside of the gauge chart, with its tolerance under the key that replaces it', () => {
    const { result, findings } = resolveNeedle(exampleRecipe());
    expect(findings).toEqual([]);
    // 22 G, regular wall: 0.4128 mm inside (0.3937 to 0.4318), 0.7176 mm outside, by the published chart
    expect(result?.bore.value).toBeCloseTo(0.4128 * mm, 9);
    expect(result?.bore.path).toBe('needle.bore');
    expect(result?.bore.tolerance?.halfWidth).toBeCloseTo(0.0191 * mm, 9);
    expect(result?.bore.tolerance).toMatchObject({ distribution: 'uniform', per: 'needle' });
    expect(result?.outside?.value).toBeCloseTo(0.7176 * mm, 9);
    expect(result?.sections).toHaveLength(1);
    expect(result?.length).toBeCloseTo(12.7 * mm, 12);
    expect(result?.gauge).toBe('22');
    expect(result?.tableStatus).toBe('published');
  });

  test('front and rear of a plain needle are one dimension', () => {
    const section = resolveNeedle(exampleRecipe()).result?.sections[0];
    expect(section?.front.source).toBe(section?.rear.source);
  });

  test('a given bore replaces the chart’s', () => {
    const { result } = needleOf({ gauge: '22', length: 12.7 * mm, bore: 0.4 * mm });
    expect(result?.bore).toMatchObject({ value: 0.4 * mm, path: 'needle.bore' });
    expect(result?.tableStatus).toBeNull();
    expect(result?.outside?.value).toBeCloseTo(0.7176 * mm, 9);
  });

  test('a tapered tip keeps its sections, its bore is the tip’s, its length the sum', () => {
    const sections = [
      { part: 'hub', diameter: 0.84 * mm, length: 6 * mm },
      { part: 'tip', diameter: [0.84 * mm, 0.41 * mm], length: 12 * mm },
    ];
    const { result, findings } = needleOf({ sections });
    expect(findings).toEqual([]);
    expect(result?.bore.value).toBe(0.41 * mm);
    expect(result?.length).toBeCloseTo(18 * mm, 12);
    expect(result?.outside).toBeNull();
  });

  test('needle-bore-unknown: a wall class without a bore asks for `bore`', () => {
    const { result, findings } = needleOf({ gauge: '22', wall: 'extra-thin', length: 12.7 * mm });
    expect(result).toBeNull();
    expect(findings).toMatchObject([{ code: 'needle-bore-unknown', severity: 'error', path: 'needle.wall' }]);
    expect(findings[0]?.help).toContain('needle.bore');
    const given = needleOf({ gauge: '22', wall: 'extra-thin', length: 12.7 * mm, bore: 0.5 * mm });
    expect(given.result?.outside?.value).toBeCloseTo(0.7176 * mm, 9); // the wall class changes the bore alone
  });

  test('needle-gauge-unknown, once, and not where nothing is left to the chart', () => {
    const { result, findings } = needleOf({ gauge: '99', length: 12.7 * mm });
    expect(result).toBeNull();
    expect(findings.map(f => f.code)).toEqual(['needle-gauge-unknown']);
    const complete = needleOf({ gauge: '99', length: 12.7 * mm, bore: 0.4 * mm, outside: 0.7 * mm });
    expect(complete.findings).toEqual([]);
    expect(complete.result).not.toBeNull();
  });

  test('everything that is missing is said at once', () => {
    expect(needleOf({}).findings.map(f => f.path)).toEqual(['needle.bore', 'needle.length']);
    expect(resolveNeedle({ ...exampleRecipe(), needle: undefined } as Recipe).findings[0]?.code).toBe('block-missing');
  });

  test('needle-thinner-than-bore: outside 0.4 mm, inside 0.5 mm', () => {
    const { findings } = needleOf({ bore: 0.5 * mm, outside: 0.4 * mm, length: 10 * mm });
    expect(findings.map(f => f.code)).toEqual(['needle-thinner-than-bore']);
  });
});

test('resolveOutside does not need the bore to be known', () => {
  const needle = exampleRecipe({ needle: { gauge: '22', wall: 'extra-thin' } }).needle as Needle;
  const { result, findings } = resolveOutside(needle);
  expect(findings).toEqual([]);
  expect(result?.value).toBeCloseTo(0.7176 * mm, 9);
});
