import { describe, expect, it } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import {
  noParts,
  type PartsKnown,
  sumOfParts,
  updateParts,
  withNewPart,
  withWander,
} from '../../src/stats/part-filter.ts';

const reading = (value: number, noise = 1, shared = 0) => ({ value, noise, shared });

/** Variance gathered between readings of noise 1 where an EWMA of a weight is best: λ²/(1 − λ). */
const wanderOfWeight = (weight: number) => (weight * weight) / (1 - weight);

/** A filter of one wandering part that has settled at a weight. */
function settled(weight: number): PartsKnown {
  const wander = wanderOfWeight(weight);
  let known = withNewPart(noParts(1), 0, 1e3);
  for (let i = 0; i < 200; i++) known = updateParts(withWander(known, 0, wander), reading(0)).known;
  return known;
}

/** Mean square of what a controller leaves that takes its filtered value out of the next output. */
function leftOver(weight: number, disturbance: readonly number[]): number {
  const wander = wanderOfWeight(weight);
  let known = settled(weight);
  let sum = 0;
  for (const value of disturbance) {
    known = withWander(known, 0, wander);
    const out = value - sumOfParts(known).value;
    sum += out * out;
    known = updateParts(known, reading(value)).known;
  }
  return sum / disturbance.length;
}

describe('a filter of parts', () => {
  it("is Bayes' rule for one part", () => {
    // Normal prior of variance 4 about 0, a reading of 3 with variance 1: mean 4/5·3, variance 4·1/5 (any text on Bayes' rule).
    const { known, gain } = updateParts(withNewPart(noParts(1), 0, 4), reading(3));
    expect(gain).toBeCloseTo(0.8, 12);
    expect(sumOfParts(known).value).toBeCloseTo(2.4, 12);
    expect(sumOfParts(known).variance).toBeCloseTo(0.8, 12);
  });

  it('shares a surprise among parts as their variances are', () => {
    // Conditional mean of xᵢ given Σ xᵢ + noise: vᵢ/(Σ v + noise) of the surprise (multivariate normal distribution).
    const start = withNewPart(withNewPart(noParts(2), 0, 3), 1, 1);
    const { known, surpriseVariance } = updateParts(start, reading(10));
    expect(surpriseVariance).toBeCloseTo(5, 12);
    expect(known.parts[0]).toBeCloseTo(6, 12);
    expect(known.parts[1]).toBeCloseTo(2, 12);
    // Cov(x₀, x₁ | z) = −v₀v₁/(v₀ + v₁ + r).
    expect(known.covariance[0]![1]).toBeCloseTo(-3 / 5, 12);
  });

  it('forgets a part that is another one now, and keeps the rest', () => {
    const start = withNewPart(withNewPart(noParts(2), 0, 3), 1, 1);
    const after = withNewPart(updateParts(start, reading(10)).known, 1, 1);
    expect(after.parts).toEqual([6, 0].map(v => expect.closeTo(v, 10)));
    expect(after.covariance[0]![1]).toBe(0);
    expect(after.covariance[0]![0]).toBeCloseTo(3 - 9 / 5, 12);
  });

  it.each([0.05, 0.2, 0.5, 0.8])('has a gain that tends to the weight %s of an EWMA', weight => {
    // λ²/(1 − λ) = q/r, so λ = (−q + √(q² + 4q))/2 at r = 1: the closed form of the steady gain (Box & Jenkins; Harvey 1989).
    const q = wanderOfWeight(weight);
    expect((-q + Math.sqrt(q * q + 4 * q)) / 2).toBeCloseTo(weight, 12);
    const next = updateParts(withWander(settled(weight), 0, q), reading(1));
    expect(next.gain).toBeCloseTo(weight, 9);
    // From there on it is an EWMA: w·x + (1 − w)·before.
    const after = updateParts(withWander(next.known, 0, q), reading(-2));
    expect(sumOfParts(after.known).value).toBeCloseTo(weight * -2 + (1 - weight) * weight, 8);
  });

  it('never takes what all readings share for known, however many there are', () => {
    let known = withNewPart(noParts(1), 0, 1e6);
    for (let i = 0; i < 500; i++) known = updateParts(known, reading(0, 1, 0.3)).known;
    // noise/500 and the shared variance of 0.09.
    expect(sumOfParts(known).variance).toBeCloseTo(0.09 + 1 / 500, 3);
    expect(sumOfParts(known).variance).toBeGreaterThan(0.09);
  });

  it('is told as much by readings without a shared error as they can tell, after others with one', () => {
    let known = withNewPart(noParts(1), 0, 1e6);
    known = updateParts(known, reading(5, 1e-9, 2)).known;
    known = updateParts(known, reading(4, 1e-6, 0)).known;
    expect(sumOfParts(known).value).toBeCloseTo(4, 4);
    expect(sumOfParts(known).variance).toBeLessThan(1.1e-6);
  });

  it('refuses impossible numbers', () => {
    expect(() => updateParts(noParts(1), reading(Number.NaN))).toThrow('value');
    expect(() => updateParts(noParts(1), reading(1, -1))).toThrow('noise');
    expect(() => withNewPart(noParts(1), 0, -1)).toThrow('variance');
  });

  it('leans to what was known: its interval alone would pass three in five at a limit three deviations away', () => {
    // Prior variance 1, reading z of variance 1 about 3: mean z/2, upper end z/2 + 1.96/√2 < 3 for z < 3.228; Φ(0.228) = 0.590
    // (normal table).
    const random = randomSource(3);
    let passed = 0;
    for (let i = 0; i < 4000; i++) {
      const { known } = updateParts(withNewPart(noParts(1), 0, 1), reading(3 + random.normal()));
      const { value, variance } = sumOfParts(known);
      if (value + 1.959964 * Math.sqrt(variance) < 3) passed++;
    }
    expect(passed / 4000).toBeGreaterThan(0.56);
    expect(passed / 4000).toBeLessThan(0.62);
  });

  it('leaves what it knows where nothing can vary', () => {
    const { gain, known } = updateParts(noParts(2), reading(7, 0));
    expect(gain).toBe(0);
    expect(sumOfParts(known).value).toBe(0);
  });
});

describe('a controller that takes out what the filter has', () => {
  const SHOTS = 40_000;

  it.each([0.2, 0.5, 0.9])('inflates white noise to 2/(2 − λ) at a weight λ of %s', weight => {
    // Output measured without error (Box & Jenkins; NIST/SEMATECH e-Handbook 6.3.2.4 has the EWMA's own variance λ/(2 − λ)).
    const random = randomSource(11);
    const noise = Array.from({ length: SHOTS }, () => random.normal());
    const due = 2 / (2 - weight);
    // The square of an output has a relative standard error of about √2 over the root of their number, wider for what is correlated.
    expect(leftOver(weight, noise)).toBeGreaterThan(due * 0.965);
    expect(leftOver(weight, noise)).toBeLessThan(due * 1.035);
  });

  it.each([0.3, 0.7])('follows an IMA(1,1) with θ = %s best with the weight 1 − θ', theta => {
    // yₜ − yₜ₋₁ = aₜ − θ·aₜ₋₁; what is left over a weight λ is 1 + (λ − (1 − θ))²/(λ(2 − λ)) (Box & Jenkins; Box & Luceño 1997).
    const random = randomSource(5);
    const disturbance: number[] = [];
    let [level, before] = [0, 0];
    for (let i = 0; i < SHOTS; i++) {
      const shock = random.normal();
      level += shock - theta * before;
      before = shock;
      disturbance.push(level);
    }
    const best = 1 - theta;
    const weights = [best - 0.15, best, best + 0.15];
    const left = weights.map(weight => leftOver(weight, disturbance));
    for (const [i, weight] of weights.entries()) {
      const due = 1 + (weight - best) ** 2 / (weight * (2 - weight));
      expect(left[i]! / due).toBeGreaterThan(0.97);
      expect(left[i]! / due).toBeLessThan(1.03);
    }
    expect(left[1]).toBe(Math.min(...left));
  });
});
