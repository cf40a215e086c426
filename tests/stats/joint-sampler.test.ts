import { describe, expect, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { copulaCorrelation, type DeviationShape, fromNormal } from '../../src/stats/copula.ts';
import { jointSampler } from '../../src/stats/joint-sampler.ts';

const COUNT = 200_000;

/** Moments of a sample of all inputs, in standard deviations of each. */
function moments(shapes: readonly DeviationShape[], pairs: { between: readonly [number, number]; r: number }[] = []) {
  const sampler = jointSampler(
    shapes.map((shape, i) => ({ shape, uncertainty: i + 1 })),
    pairs,
  )!;
  const random = randomSource(11);
  const out = new Float64Array(shapes.length);
  const sums = shapes.map(() => ({ one: 0, two: 0, four: 0, most: 0 }));
  const products = pairs.map(() => 0);
  for (let n = 0; n < COUNT; n++) {
    sampler(out, random);
    for (const [i, s] of sums.entries()) {
      const x = out[i]! / (i + 1);
      s.one += x / COUNT;
      s.two += x ** 2 / COUNT;
      s.four += x ** 4 / COUNT;
      s.most = Math.max(s.most, Math.abs(x));
    }
    for (const [k, { between }] of pairs.entries()) {
      products[k]! += (out[between[0]]! * out[between[1]]!) / ((between[0] + 1) * (between[1] + 1)) / COUNT;
    }
  }
  return { sums, products };
}

describe('one input after another', () => {
  // Kurtosis of the distributions: 3, 9/5, 12/5. Standard error of a second moment over 2e5 draws: √((k − 1)/n) < 0.0032.
  test.each([
    ['normal', 3, 10],
    ['uniform', 9 / 5, Math.sqrt(3)],
    ['triangular', 12 / 5, Math.sqrt(6)],
  ] as const)('%s: mean 0, sd 1, its kurtosis, and no further than its end', (shape, kurtosis, end) => {
    for (const s of [moments([shape]).sums[0]!, moments([shape, 'normal'], [{ between: [0, 1], r: 0.5 }]).sums[0]!]) {
      expect(Math.abs(s.one)).toBeLessThan(5 / Math.sqrt(COUNT));
      expect(Math.abs(s.two - 1)).toBeLessThan(0.016);
      expect(Math.abs(s.four - kurtosis)).toBeLessThan(0.12);
      expect(s.most).toBeLessThanOrEqual(end);
    }
  });

  test('a shape turned from a normal number keeps its probability at both ends', () => {
    // Triangular on ±√6: F(−√6·(1 − q)) = q²/2; at z = −1.6448536 F = 0.05, so x = −√6·(1 − √0.1).
    expect(fromNormal('triangular')(-1.6448536269514722)).toBeCloseTo(-Math.sqrt(6) * (1 - Math.sqrt(0.1)), 10);
    expect(fromNormal('triangular')(1.6448536269514722)).toBeCloseTo(Math.sqrt(6) * (1 - Math.sqrt(0.1)), 10);
    expect(fromNormal('uniform')(0.6744897501960817)).toBeCloseTo(Math.sqrt(3) / 2, 10);
    expect(Math.abs(fromNormal('triangular')(0))).toBeLessThan(1e-15);
  });
});

describe('inputs that go together', () => {
  test('closed forms of the underlying correlation', () => {
    for (const r of [-0.99, -0.3, 0.2, 0.7, 0.95]) {
      const both = copulaCorrelation({ first: 'uniform', second: 'uniform', r });
      expect(both).toBeCloseTo(2 * Math.sin((Math.PI * r) / 6), 10);
      expect(copulaCorrelation({ first: 'normal', second: 'normal', r })).toBe(r);
    }
    expect(copulaCorrelation({ first: 'uniform', second: 'normal', r: 0.6 })).toBeCloseTo(
      0.6 * Math.sqrt(Math.PI / 3),
      10,
    );
    expect(copulaCorrelation({ first: 'triangular', second: 'triangular', r: 1 })).toBeCloseTo(1, 8);
  });

  test('a uniform and a normal value reach no more than √(3/π)', () => {
    expect(copulaCorrelation({ first: 'uniform', second: 'normal', r: 0.98 })).toBeNull();
    expect(
      jointSampler(
        [
          { shape: 'uniform', uncertainty: 1 },
          { shape: 'normal', uncertainty: 1 },
        ],
        [{ between: [0, 1], r: 0.98 }],
      ),
    ).toBeNull();
  });

  test('the declared correlation is that of the sample, for every pair of shapes', () => {
    const pairs = [
      { between: [0, 1] as const, r: 0.6 },
      { between: [1, 2] as const, r: -0.5 },
      { between: [0, 2] as const, r: 0.1 },
    ];
    const { products } = moments(['normal', 'uniform', 'triangular'], pairs);
    // Standard error about 1/√n = 0.0022; five of them.
    for (const [k, { r }] of pairs.entries()) expect(Math.abs(products[k]! - r)).toBeLessThan(0.011);
  });

  test('a matrix that no inputs can have gives null', () => {
    const three = [1, 2, 3].map(uncertainty => ({ shape: 'normal' as const, uncertainty }));
    // x with y and y with z by 0.9 need x with z by at least 0.62.
    const pairs = [
      { between: [0, 1] as const, r: 0.9 },
      { between: [1, 2] as const, r: 0.9 },
    ];
    expect(jointSampler(three, [...pairs, { between: [0, 2], r: 0.61 }])).toBeNull();
    expect(jointSampler(three, [...pairs, { between: [0, 2], r: 0.63 }])).not.toBeNull();
  });

  test('wrong calls are refused', () => {
    const one = [{ shape: 'normal' as const, uncertainty: 1 }];
    expect(() => jointSampler(one, [{ between: [0, 0], r: 0.1 }])).toThrow(/two different/);
    expect(() => jointSampler([{ shape: 'normal', uncertainty: -1 }])).toThrow(/uncertainty/);
    expect(() => copulaCorrelation({ first: 'normal', second: 'uniform', r: 1.2 })).toThrow(/r = 1.2/);
  });
});
