import { DomainError } from '../numeric/domain-error.ts';

/** What a sample is to show: with this confidence, that at least this share is good. */
export interface SampleAim {
  readonly confidence: number; // [-], above 0 and below 1
  readonly reliability: number; // [-], above 0 and below 1
  /** So many bad ones the sample may have. */ readonly allowed: number;
}

/** More pieces than this nobody samples. */
const MOST_PIECES = 1e7;

/**
 * Pieces [-] of a sample that shows a reliability with a confidence when at most `allowed` of them are bad; null above ten million.
 *
 *   least n with Σ_{k ≤ c} C(n, k)·(1 − R)^k·R^(n − k) ≤ 1 − C;  c = 0: n = ln(1 − C)/ln(R), rounded up
 *
 * Valid for: pieces that are good or bad independently of each other.
 * Shape: one aim in, one count out. Throws: DomainError for an aim outside its range.
 * Source: Wilks, Ann. Math. Statist. 12 (1941) 91; ISO 16269-6:2014, one-sided distribution-free intervals (from memory).
 * Evidence: published 59, 93, 124 for 95/95 and 299, 473, 628 for 95/99.
 */
export function sampleSize({ confidence, reliability, allowed }: SampleAim): number | null {
  requireShare('confidence', confidence);
  requireShare('reliability', reliability);
  if (!Number.isInteger(allowed) || allowed < 0)
    throw new DomainError('allowed', allowed, '-', 'a whole number from 0');
  if (allowed >= MOST_PIECES) return null;
  const enough = (n: number) =>
    chanceOfAtMost({ bad: allowed, of: n, share: 1 - reliability }) <= (1 - confidence) * GRACE;
  let [low, high] = [allowed, allowed + 1];
  while (!enough(high)) {
    if (high > MOST_PIECES) return null;
    [low, high] = [high, 2 * high];
  }
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (enough(middle)) high = middle;
    else low = middle;
  }
  return high > MOST_PIECES ? null : high;
}

/** A chance that is equal but for binary rounding is enough. */
const GRACE = 1 + 1e-12;

/** P(X ≤ bad) of the binomial distribution of so many pieces, a share of which is bad; 0 < share < 1. */
export function chanceOfAtMost({ bad, of, share }: { bad: number; of: number; share: number }): number {
  if (bad >= of) return 1;
  let term = of * Math.log1p(-share); // ln of P(X = 0)
  let sum = Math.exp(term);
  for (let k = 1; k <= bad; k++) {
    term += Math.log((of - k + 1) / k) + Math.log(share) - Math.log1p(-share);
    sum += Math.exp(term);
  }
  return Math.min(1, sum);
}

/**
 * The share of good ones [-] that a sample with so many bad ones shows with a confidence: the one-sided lower limit of Clopper and
 * Pearson. Zero where all are bad.
 */
export function shownReliability({ bad, of, confidence }: { bad: number; of: number; confidence: number }): number {
  requireShare('confidence', confidence);
  if (!(of > 0 && bad >= 0 && bad <= of)) throw new DomainError('bad', bad, '-', `from 0 to ${of}`);
  if (bad === of) return 0;
  let [low, high] = [0, 1]; // of the share that is bad
  for (let i = 0; i < 200 && high - low > 1e-15; i++) {
    const share = (low + high) / 2;
    if (chanceOfAtMost({ bad, of, share }) > 1 - confidence) low = share;
    else high = share;
  }
  return 1 - (low + high) / 2;
}

function requireShare(name: string, value: number): void {
  if (!(value > 0 && value < 1)) throw new DomainError(name, value, '-', 'above 0 and below 1');
}
