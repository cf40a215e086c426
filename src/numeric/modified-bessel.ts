import { requirePositive } from './domain-error.ts';

export interface ModifiedBessel {
  /** I0(x)/I1(x). */ readonly i0OverI1: number;
  /** (I0(x) − 1)/I1(x), free of cancellation at small x. */ readonly i0Minus1OverI1: number;
  /** I2(x)/I1(x). */ readonly i2OverI1: number;
  /** 1/I1(x); runs out to zero for very large x instead of failing. */ readonly inverseI1: number;
}

/** From here on the asymptotic series is good to double precision (its error is of the order e^(−2x)). */
const ASYMPTOTIC_FROM = 20;

/**
 * Ratios of the modified Bessel functions of the first kind, orders 0 to 2, at x > 0 [-].
 *
 *   Iν(x) = Σ (x/2)^(2k+ν) / (k!·(k+ν)!);  for large x: Iν(x) ~ eˣ/√(2πx)·Σ (−1)^k·a_k(ν)/x^k
 *
 * Valid for: any x above zero; as ratios they neither overflow nor vanish.
 * Throws: DomainError when x is not finite and positive.
 * Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 9.6.10 and 9.7.1.
 * Evidence: tabled values, the recurrence I0 − I2 = 2·I1/x, both branches where they meet.
 */
export function modifiedBesselRatios(x: number): ModifiedBessel {
  requirePositive('x', x, '-');
  return x < ASYMPTOTIC_FROM ? bySeries(x) : byAsymptote(x);
}

function bySeries(x: number): ModifiedBessel {
  const q = (x * x) / 4;
  let term = 1; // q^k/(k!)²
  let i0Minus1 = 0;
  let i1 = 1; // in units of x/2
  let i2 = 0.5; // in units of (x/2)²
  for (let k = 1; k < 100; k++) {
    term *= q / (k * k);
    i0Minus1 += term;
    i1 += term / (k + 1);
    i2 += term / ((k + 1) * (k + 2));
    if (term < 1e-17 * i0Minus1) break;
  }
  const half = x / 2;
  return {
    i0OverI1: (1 + i0Minus1) / (half * i1),
    i0Minus1OverI1: i0Minus1 / (half * i1),
    i2OverI1: (half * i2) / i1,
    inverseI1: 1 / (half * i1),
  };
}

function byAsymptote(x: number): ModifiedBessel {
  const i0 = asymptoticSum(0, x);
  const i1 = asymptoticSum(1, x);
  const inverseI1 = (Math.sqrt(2 * Math.PI * x) * Math.exp(-x)) / i1;
  return { i0OverI1: i0 / i1, i0Minus1OverI1: i0 / i1 - inverseI1, i2OverI1: i0 / i1 - 2 / x, inverseI1 };
}

function asymptoticSum(order: number, x: number): number {
  const mu = 4 * order * order;
  let term = 1;
  let sum = 1;
  for (let k = 1; k < 60; k++) {
    const factor = -(mu - (2 * k - 1) ** 2) / (8 * k * x);
    if (Math.abs(factor) >= 1) break; // the series turns: its least term is the best that it gives
    term *= factor;
    sum += term;
    if (Math.abs(term) < 1e-17) break;
  }
  return sum;
}
