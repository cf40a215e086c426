import { expect, it } from 'vitest';
import { columnLengths, dampedStep, followScale, selectColumns } from '../../src/numeric/damped-step.ts';
import { matrix } from '../../src/numeric/linear-algebra.ts';
import { randomSource } from '../../src/numeric/random.ts';

/** A linear model of random numbers, four residuals over two parameters. */
function drawnModel(seed: number) {
  const source = randomSource(seed);
  const draw = (count: number) => Float64Array.from({ length: count }, () => 2 * source.uniform() - 1);
  return { j: matrix({ rows: 4, columns: 2 }, draw(8)), r: draw(4), size: draw(2).map(v => 2 + v) };
}

it.each([0, 0.3, 20])('a step damped by %s solves (JᵀJ + λD²)·s = −Jᵀr, and says what it gains and leaves', damping => {
  for (const seed of [1, 2, 3]) {
    const { j, r, size } = drawnModel(seed);
    const { s, gain, left } = dampedStep({ j, r, size }, damping);
    const after = r.map((v, i) => v + j.data[2 * i]! * s[0]! + j.data[2 * i + 1]! * s[1]!); // r + J·s
    for (const c of [0, 1]) {
      const slope = after.reduce((sum, v, i) => sum + j.data[2 * i + c]! * v, 0);
      expect(slope + damping * size[c]! ** 2 * s[c]!).toBeCloseTo(0, 12);
    }
    const square = (v: Float64Array) => v.reduce((sum, one) => sum + one * one, 0);
    expect(left).toBeCloseTo(square(after), 12);
    expect(gain).toBeCloseTo(square(r) - square(after), 12);
  }
});

it('scales rise to the lengths of their columns, sink by half at most, and stay where a parameter is held', () => {
  const j = Float64Array.of(3, 0.1, 4, 0); // columns (3, 4) and (0.1, 0)
  expect([...columnLengths(j, 2)]).toEqual([5, 0.1]);
  const scale = Float64Array.of(1, 7, 1);
  followScale(scale, j, [0, 2]);
  expect([...scale]).toEqual([5, 7, 0.5]);
});

it('columns are taken in the order that is asked for', () => {
  const j = Float64Array.of(1, 2, 3, 4, 5, 6); // of the parameters 2, 5 and 7
  expect([...selectColumns(j, [2, 5, 7], [7, 2], 2).data]).toEqual([3, 1, 6, 4]);
});
