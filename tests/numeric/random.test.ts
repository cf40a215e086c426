import { describe, expect, test } from 'vitest';
import { fromState, randomSource, splitMix64 } from '../../src/numeric/random.ts';

describe('the words of the generator', () => {
  test('xoshiro128++ from state 1, 2, 3, 4 gives the known answers', () => {
    // First ten outputs of the authors' C code, from memory; the word after 102,400 draws is the one in the test suite of
    // the PHP interpreter (user_xoshiro128plusplus.phpt: bytes fa 3c 87 2c, low byte first).
    const source = fromState([1, 2, 3, 4]);
    const first = Array.from({ length: 10 }, () => source.uint32());
    expect(first).toEqual([
      641, 1573767, 3222811527, 3517856514, 836907274, 4247214768, 3867114732, 1355841295, 495546011, 621204420,
    ]);
    for (let i = 10; i < 102_400; i++) source.uint32();
    expect(source.uint32()).toBe(0x2c873cfa);
  });

  test('xoshiro128++ from a state of random bytes gives the known answers', () => {
    // Made with the authors' C code by the xoshiro-6502 project (test-rom/testdata.asm).
    const source = fromState([0x964d4a0c, 0xd40ab895, 0xad7fdecb, 0x3006f0f0]);
    const words = Array.from({ length: 4 }, () => source.uint32());
    expect(words).toEqual([0xc06ac86f, 0xb459c753, 0xaa04c486, 0xb3fb785a]);
  });

  test('SplitMix64 from 1234567 gives the known answers', () => {
    // Published with the pseudo-random task of Rosetta Code (from memory).
    const next = splitMix64(1234567n);
    expect([next(), next(), next(), next(), next()]).toEqual([
      6457827717110365317n,
      3203168211198807973n,
      9817491932198370423n,
      4593380528125082431n,
      16408922859458223821n,
    ]);
  });

  test('a seed starts the state with the first two words of SplitMix64, low half first', () => {
    const next = splitMix64(42n);
    const [a, b] = [next(), next()];
    const low = (w: bigint): number => Number(w & 0xffffffffn);
    const high = (w: bigint): number => Number(w >> 32n);
    const direct = fromState([low(a), high(a), low(b), high(b)]);
    const seeded = randomSource(42);
    for (let i = 0; i < 100; i++) expect(seeded.uint32()).toBe(direct.uint32());
  });

  test.each([-1, 0.5, Number.NaN, Number.POSITIVE_INFINITY, 2 ** 53])('seed %d is refused', seed => {
    expect(() => randomSource(seed)).toThrow(/seed/);
  });

  test('neighbouring seeds give unrelated streams', () => {
    const a = randomSource(1);
    const b = randomSource(2);
    const n = 100_000;
    let sum = 0;
    for (let i = 0; i < n; i++) sum += a.normal() * b.normal();
    expect(Math.abs(sum / Math.sqrt(n))).toBeLessThan(4); // standard normal if unrelated
  });
});

describe('the numbers', () => {
  test('uniform numbers lie in [0, 1), evenly', () => {
    const source = randomSource(7);
    const bins = new Array<number>(100).fill(0);
    const n = 1_000_000;
    let inside = true;
    for (let i = 0; i < n; i++) {
      const u = source.uniform();
      inside &&= u >= 0 && u < 1;
      bins[Math.floor(u * 100)]! += 1;
    }
    expect(inside).toBe(true);
    const chiSquare = bins.reduce((sum, count) => sum + (count - n / 100) ** 2 / (n / 100), 0);
    expect(chiSquare).toBeLessThan(149); // 99.9 % point of chi-square with 99 degrees of freedom is 148.2
  });

  test('normal numbers have the moments 0, 1, 0, 3, and the right tails', () => {
    const source = randomSource(20_261_125);
    const n = 4_000_000;
    const moment = [0, 0, 0, 0];
    const beyond = [0, 0, 0, 0]; // above 1, 2, 3, and above the start of the ziggurat's tail
    const at = [1, 2, 3, 3.6541528853610088];
    for (let i = 0; i < n; i++) {
      const z = source.normal();
      for (let k = 0; k < 4; k++) {
        moment[k]! += z ** (k + 1) / n;
        if (z > at[k]!) beyond[k]! += 1;
      }
    }
    // Standard errors of the sample moments: √(1, 2, 15, 96)/√n; five of them.
    for (const [k, expected] of [0, 1, 0, 3].entries()) {
      expect(Math.abs(moment[k]! - expected)).toBeLessThan(5 * Math.sqrt([1, 2, 15, 96][k]! / n));
    }
    // Upper tail areas of the normal distribution: tables to 3, and 1.2898e-4 at 3.65415 (series of Mills' ratio).
    for (const [k, p] of [0.158655, 0.02275, 0.0013499, 0.00012901].entries()) {
      expect(Math.abs(beyond[k]! - n * p)).toBeLessThan(5 * Math.sqrt(n * p));
    }
  });

  test('normal numbers follow the normal distribution everywhere (Kolmogorov–Smirnov)', () => {
    const source = randomSource(3);
    const n = 200_000;
    const sorted = Float64Array.from({ length: n }, () => source.normal()).sort();
    let distance = 0;
    for (let i = 0; i < n; i++) distance = Math.max(distance, Math.abs(normalArea(sorted[i]!) - (i + 0.5) / n));
    expect(distance * Math.sqrt(n)).toBeLessThan(1.95); // 99.9 % point of the Kolmogorov distribution
  });
});

/** Normal distribution by its power series (Abramowitz & Stegun 26.2.11), good to 1e-12 for |x| < 6. */
function normalArea(x: number): number {
  let term = x;
  let sum = x;
  for (let k = 1; Math.abs(term) > 1e-17 && k < 300; k++) {
    term *= (x * x) / (2 * k + 1);
    sum += term;
  }
  return 0.5 + (Math.exp(-0.5 * x * x) / Math.sqrt(2 * Math.PI)) * sum;
}
