import { DomainError } from '../numeric/domain-error.ts';
import { gaussLegendre } from '../numeric/gauss-legendre.ts';
import { normalCdf } from './distributions.ts';

/** Factors of control charts for subgroups of n normal values, by their usual letters. */
export interface ControlConstants {
  readonly n: number;
  /** Mean of the range, in standard deviations. */ readonly d2: number;
  /** Standard deviation of the range, in standard deviations. */ readonly d3: number;
  /** Mean of the sample standard deviation (n − 1), in standard deviations. */ readonly c4: number;
  /** 3/√n: mean chart from σ. */ readonly A: number;
  /** 3/(d2·√n): mean chart from R̄. */ readonly A2: number;
  /** 3/(c4·√n): mean chart from s̄. */ readonly A3: number;
  /** 1 ∓ 3·√(1 − c4²)/c4, not below zero: s chart from s̄. */ readonly B3: number;
  readonly B4: number;
  /** c4 ∓ 3·√(1 − c4²), not below zero: s chart from σ. */ readonly B5: number;
  readonly B6: number;
  /** d2 ∓ 3·d3, not below zero: range chart from σ. */ readonly D1: number;
  readonly D2: number;
  /** 1 ∓ 3·d3/d2, not below zero: range chart from R̄. */ readonly D3: number;
  readonly D4: number;
  /** 3/d2: individuals from the mean moving range. */ readonly E2: number;
}

const LARGEST = 1000;
const known = new Map<number, ControlConstants>();

/**
 * Control chart factors [-] for subgroups of n.
 *
 *   d2 = ∫₀^∞ (1 − F(w)) dw,  d2² + d3² = 2 ∫₀^∞ w (1 − F(w)) dw,  F(w) = n ∫ φ(x) (Φ(x + w) − Φ(x))ⁿ⁻¹ dx
 *   c4 = √(2/(n − 1)) Γ(n/2)/Γ((n − 1)/2), by the recurrence c4(n)·c4(n + 1) = √((n − 1)/n) from c4(2) = √(2/π)
 *
 * Valid for: whole n from 2 to 1000. Computed, not looked up: printed tables carry rounding and misprints.
 * Throws: DomainError for any other n.
 * Source: Tippett, Biometrika 17 (1925) 364 (range); SAS/QC help (factors from d2, d3, c4).
 * Evidence: closed forms of d2 and d3 for 2 and 3, three published tables for 2 to 25.
 */
export function controlConstants(n: number): ControlConstants {
  if (!(Number.isInteger(n) && n >= 2 && n <= LARGEST))
    throw new DomainError('n', n, '-', `a whole number from 2 to ${LARGEST}`);
  const before = known.get(n);
  if (before) return before;
  const { d2, d3 } = rangeMoments(n);
  const c4 = meanOfDeviation(n);
  const spread = 3 * Math.sqrt(1 - c4 * c4);
  const constants: ControlConstants = {
    n,
    d2,
    d3,
    c4,
    A: 3 / Math.sqrt(n),
    A2: 3 / (d2 * Math.sqrt(n)),
    A3: 3 / (c4 * Math.sqrt(n)),
    B3: Math.max(0, 1 - spread / c4),
    B4: 1 + spread / c4,
    B5: Math.max(0, c4 - spread),
    B6: c4 + spread,
    D1: Math.max(0, d2 - 3 * d3),
    D2: d2 + 3 * d3,
    D3: Math.max(0, 1 - (3 * d3) / d2),
    D4: 1 + (3 * d3) / d2,
    E2: 3 / d2,
  };
  known.set(n, constants);
  return constants;
}

/**
 * d2* [-]: root mean square, in standard deviations, of the mean range of g subgroups of m values; for few subgroups the
 * divisor that makes the variance, not the standard deviation, free of bias.
 *
 *   d2* = √(d2² + d3²/g)
 *
 * Source: Duncan, Quality Control and Industrial Statistics, 5th ed., app. D3 (from memory).
 * Evidence: K2 and K3 of the AIAG gauge study, 0.5231 = 1/d2*(3, 1) and 0.3146 = 1/d2*(10, 1).
 */
export function rangeDivisor(size: { values: number; subgroups: number }): number {
  const { d2, d3 } = controlConstants(size.values);
  return Math.sqrt(d2 * d2 + (d3 * d3) / size.subgroups);
}

function meanOfDeviation(n: number): number {
  let c4 = Math.sqrt(2 / Math.PI);
  for (let k = 2; k < n; k++) c4 = Math.sqrt((k - 1) / k) / c4;
  return c4;
}

const STEP = 0.1; // of the inner sum: the trapezoidal rule on a bell converges faster than any power
const REACH = 9; // standard deviations beyond which the normal density is nothing
const RULE = gaussLegendre(12);

function rangeMoments(n: number): { d2: number; d3: number } {
  const count = Math.round((2 * REACH) / STEP) + 1;
  const x = Float64Array.from({ length: count }, (_, i) => -REACH + i * STEP);
  const density = x.map(v => Math.exp(-0.5 * v * v) / Math.sqrt(2 * Math.PI));
  const area = x.map(normalCdf);
  const beyond = (w: number): number => {
    let sum = 0;
    for (let i = 0; i < count; i++) sum += density[i]! * (normalCdf(x[i]! + w) - area[i]!) ** (n - 1);
    return 1 - n * STEP * sum;
  };
  let first = 0;
  let second = 0;
  for (let w = 0; w < 2 * REACH - 2; w++) {
    for (const [k, node] of RULE.nodes.entries()) {
      const at = w + (1 + node) / 2;
      const share = (RULE.weights[k]! / 2) * beyond(at);
      first += share;
      second += 2 * at * share;
    }
  }
  return { d2: first, d3: Math.sqrt(second - first * first) };
}
