import { gauge } from '../analysis/dot/gauge.ts';
import type { Finding } from '../diagnostics/finding.ts';
import type { RuleContext } from './rule-context.ts';

const READING_CODES = new Set(['gauge-reading-coarse', 'gauge-rings-close']);
/** A ring of this diameter fits either paper with room to spare [m]. */
const SMALL_RING = 0.06;
/** How far a plain cap is trusted to bound the real drop. */
const SAFETY = 1.2;

/**
 * Whether a dot can be read well enough for the tolerance, as the gauge judges it. Drops are costly to work out, and a
 * spherical cap bounds them: a real drop is wider than the cap of its volume, and its diameter grows faster with it. So
 * the gauge itself is asked only where the cap does not settle the matter.
 *
 *   misreading of a cap = (1 + e/d)³ − 1 ≤ tolerance/2 from d = e/((1 + tolerance/2)^(1/3) − 1) on
 */
export function readingFindings({ recipe, dot, window }: RuleContext): Finding[] {
  if (dot.result === null || window === null) return [];
  const { readingError } = dot.result;
  const half = Math.min(window.aim - window.min, window.max - window.aim) / window.aim;
  if (half < 0) return []; // an aim outside its window is a finding of its own
  const tolerance = recipe.process?.tolerance?.value ?? half;
  const needed = readingError / (Math.cbrt(1 + tolerance / 2) - 1); // [m], of the aim ring
  const largest = needed * Math.sqrt(window.max / window.aim); // a puddle, the fastest growth
  const apart = half > (SAFETY * tolerance) / 2;
  if (tolerance > 0 && SAFETY * largest < SMALL_RING && apart) return [];
  return gauge(recipe).findings.filter(({ code }) => READING_CODES.has(code));
}
