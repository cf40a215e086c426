import { describe, expect, it } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { chanceBelowZero } from '../../src/stats/chance-below.ts';
import { normalCdf } from '../../src/stats/distributions.ts';
import { type InputDeviation, jointSampler } from '../../src/stats/joint-sampler.ts';

const uniform = (halfWidth: number): InputDeviation => ({ shape: 'uniform', uncertainty: halfWidth / Math.sqrt(3) });
const triangular = (halfWidth: number): InputDeviation => ({
  shape: 'triangular',
  uncertainty: halfWidth / Math.sqrt(6),
});
const normal = (uncertainty: number): InputDeviation => ({ shape: 'normal', uncertainty });

describe('the chance that a sum of deviations falls below zero', () => {
  it('is that of the normal distribution for normal deviations, whose variances add', () => {
    for (const mean of [-7, -1, 0, 1, 5, 10, 14]) {
      expect(chanceBelowZero(mean, [normal(3), normal(4)])).toBeCloseTo(normalCdf(-mean / 5), 7);
    }
  });

  it('is the part of a rectangle for one uniform deviation', () => {
    for (const mean of [-2, -1.7, -0.4, 0, 0.3, 1.5, 1.96]) {
      expect(chanceBelowZero(mean, [uniform(2)])).toBeCloseTo((2 - mean) / 4, 4);
    }
  });

  it('is the part of a trapezium for two uniform deviations', () => {
    // 125 ± 0.7 in 126 ± 0.5: the corner of the rectangle in which the first passes the second.
    expect(chanceBelowZero(1, [uniform(0.7), uniform(0.5)])).toBeCloseTo(0.2 ** 2 / 2 / (1.4 * 1), 6);
  });

  it('is the Irwin–Hall distribution for three uniform deviations of one width', () => {
    // F(x) = (x³ − 3(x − 1)³₊ + 3(x − 2)³₊)/6 of the sum of three numbers between 0 and 1.
    const plus = (x: number) => Math.max(0, x) ** 3;
    for (const x of [0.2, 0.9, 1.5, 2.4, 2.9]) {
      const expected = (plus(x) - 3 * plus(x - 1) + 3 * plus(x - 2)) / 6;
      expect(chanceBelowZero(1.5 - x, [uniform(0.5), uniform(0.5), uniform(0.5)])).toBeCloseTo(expected, 7);
    }
  });

  it('is the part of a triangle for one triangular deviation', () => {
    for (const mean of [0, 0.1, 0.5, 0.9]) {
      expect(chanceBelowZero(mean, [triangular(1)])).toBeCloseTo((1 - mean) ** 2 / 2, 6);
    }
  });

  it('is 0 or 1 where the deviations do not reach zero, and for none', () => {
    expect(chanceBelowZero(1.3, [uniform(0.7), triangular(0.5)])).toBe(0);
    expect(chanceBelowZero(-1.3, [uniform(0.7), triangular(0.5)])).toBe(1);
    expect(chanceBelowZero(0, [])).toBe(0);
    expect(chanceBelowZero(-1, [])).toBe(1);
  });

  it('is the share of a large sample for all three shapes together', () => {
    const inputs = [uniform(1), triangular(0.8), normal(0.3)];
    const draw = jointSampler(inputs)!;
    const random = randomSource(5);
    const out = new Float64Array(3);
    const n = 200_000;
    let below = 0;
    for (let i = 0; i < n; i++) {
      draw(out, random);
      if (1.1 + out[0]! + out[1]! + out[2]! < 0) below++;
    }
    const chance = chanceBelowZero(1.1, inputs);
    expect(Math.abs(below / n - chance)).toBeLessThan(4 * Math.sqrt((chance * (1 - chance)) / n));
  });
});
