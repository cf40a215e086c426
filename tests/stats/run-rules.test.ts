import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DEFAULT_RULES, RUN_RULES, runRules } from '../../src/stats/run-rules.ts';

const ALL = [...RUN_RULES.keys()];
/** Which points (from 0) a rule fires at, for readings in standard deviations from the centre line. */
const firing = (rule: number, z: readonly number[], oneSide?: number): number[] =>
  runRules(
    z.map(v => ({ value: v, z: v })),
    { rules: [rule], ...(oneSide && { oneSide }) },
  ).flatMap((r, i) => (r.length ? [i] : []));
const repeat = (count: number, ...values: number[]): number[] =>
  Array.from({ length: count }, (_, i) => values[i % values.length]!);

describe('each rule by a pattern that just fires and one that just does not', () => {
  test('1: one point beyond three sigma, on either side', () => {
    expect(firing(1, [0, 3.01, 0, -3.01])).toEqual([1, 3]);
    expect(firing(1, [3, -3, 2.99])).toEqual([]);
  });
  test('2: nine in a row on one side; the centre line belongs to neither', () => {
    expect(firing(2, repeat(10, 0.1, 0.5))).toEqual([8, 9]);
    expect(firing(2, repeat(8, 0.1))).toEqual([]);
    expect(firing(2, [...repeat(8, 0.1), -0.1, 0.1])).toEqual([]);
    expect(firing(2, [...repeat(8, 0.1), 0, ...repeat(8, 0.1)])).toEqual([]);
  });
  test('2 with eight points, the count of the handbook of 1956', () => {
    expect(firing(2, repeat(8, -0.1), 8)).toEqual([7]);
    expect(firing(2, repeat(7, -0.1), 8)).toEqual([]);
    expect(
      runRules(
        repeat(8, -0.1).map(z => ({ value: z, z })),
        { rules: [1, 2, 5, 6], oneSide: 8 },
      )[7],
    ).toEqual([2]);
  });
  test('3: six in a row rising or falling', () => {
    expect(firing(3, [0, 0.1, 0.2, 0.3, 0.4, 0.5])).toEqual([5]);
    expect(firing(3, [0, 0.1, 0.2, 0.3, 0.4, 0.3, 0.2, 0.1, 0, -0.1])).toEqual([9]);
    expect(firing(3, [0, 0.1, 0.2, 0.3, 0.3, 0.4, 0.5])).toEqual([]);
  });
  test('4: fourteen in a row alternating', () => {
    expect(firing(4, repeat(14, 0.1, -0.1))).toEqual([13]);
    expect(firing(4, repeat(13, 0.1, -0.1))).toEqual([]);
    expect(firing(4, [...repeat(13, 0.1, -0.1), 0.1])).toEqual([]);
  });
  test('5: two of three beyond two sigma on one side', () => {
    expect(firing(5, [0, 2.1, 0, 2.1])).toEqual([3]);
    expect(firing(5, [0, 2.1, 0, -2.1, 0, 0, 2.1])).toEqual([]);
    expect(firing(5, [2, 2, 2])).toEqual([]);
    expect(firing(5, [0, 2.1, 2.1, 0])).toEqual([2]);
  });
  test('6: four of five beyond one sigma on one side', () => {
    expect(firing(6, [1.1, 1.1, 0, 1.1, 1.1])).toEqual([4]);
    expect(firing(6, [1.1, 1.1, 0, -1.1, 1.1, 1.1])).toEqual([]);
    expect(firing(6, [1.1, 1.1, 0, 0, 1.1, 1.1])).toEqual([]);
  });
  test('7: fifteen in a row within one sigma, its line included', () => {
    expect(firing(7, repeat(15, 1, -1, 0.5))).toEqual([14]);
    expect(firing(7, [...repeat(14, 0.9), 1.1])).toEqual([]);
  });
  test('8: eight in a row beyond one sigma, either side', () => {
    expect(firing(8, repeat(8, 1.1, -1.1, -2))).toEqual([7]);
    expect(firing(8, [...repeat(7, 1.1), 1, 1.1])).toEqual([]);
  });
});

test('counts do not start afresh after a signal', () => {
  expect(firing(2, repeat(12, 0.5))).toEqual([8, 9, 10, 11]);
});

test('a point on a zone line stays in the inner zone however it was rounded', () => {
  // 3·0.1 is 0.30000000000000004: over the line by rounding alone.
  expect(firing(1, [(3 * 0.1) / 0.1, 0.3 / 0.1])).toEqual([]);
});

test('rules 1, 2, 5, 6 and all others do not care which side is up', () => {
  const z = fc.array(fc.double({ min: -4, max: 4, noNaN: true }), { maxLength: 60 });
  fc.assert(
    fc.property(z, points => {
      const up = runRules(
        points.map(v => ({ value: v, z: v })),
        { rules: ALL },
      );
      const down = runRules(
        points.map(v => ({ value: -v, z: -v })),
        { rules: ALL },
      );
      expect(down).toEqual(up);
    }),
    { seed: 1 },
  );
});

test('every chosen rule is reported, rising, once', () => {
  const points = repeat(9, 3.5).map(z => ({ value: z, z }));
  expect(runRules(points, { rules: [6, 1, 2, 1, 5, 8] })[8]).toEqual([1, 2, 5, 6, 8]);
  expect(DEFAULT_RULES).toEqual([1, 2, 3, 4]);
});

test.each([0, 9, 1.5])('there is no rule %d', rule => {
  expect(() => firing(rule, [0])).toThrow(/rule/);
});
