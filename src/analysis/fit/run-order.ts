import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from '../../numeric/least-squares.ts';
import { fTail } from '../../stats/distributions.ts';
import { ROUNDING } from './fit-report.ts';

/** How the residuals of a fit drift along the order of its rows. */
export interface RunOrderDrift {
  /** What a row is above the one before it, all else equal [-]. */
  readonly drift: number;
  /** Chance of as clear a drift where there is none. */
  readonly p: number;
}

/** A drift is said from this level on: one fit in a hundred without a drift is suspected of one. */
const LEVEL = 0.01;

/**
 * A drift along the order of the rows, fitted beside the parameters, so that what these have taken up of it does not hide it.
 *
 *   ln(measured/model) = β·(i − (n + 1)/2);   F = (S₀ − S₁)/(S₁/(ν − 1)) on 1 and ν − 1 degrees of freedom
 *
 * Null without degrees of freedom for it, without scatter, or where the fit ended at a bound.
 * Source: extra sum of squares; Bates & Watts, Nonlinear Regression Analysis and Its Applications, 1988, 3.10; added variables in Cook &
 * Weisberg, Residuals and Influence in Regression, 1982, 2.3.
 * Evidence: a straight line through five points by hand; rate of false alarms by simulation.
 */
export function runOrderDrift(
  problem: LeastSquaresProblem,
  fit: LeastSquaresFit,
  weights: readonly number[],
): RunOrderDrift | null {
  const nu = fit.degreesOfFreedom - 1;
  if (nu < 1 || fit.atBound.length > 0 || !((fit.residualSd ?? 0) > ROUNDING)) return null;
  const own = problem.parameters.length;
  const middle = (problem.count - 1) / 2;
  const drifting = fitLeastSquares({
    ...problem,
    parameters: [
      ...problem.parameters.map((p, k) => ({ ...p, start: fit.parameters[k]! })),
      { start: 0, typical: 1 / problem.count },
    ],
    residuals: (p, out) => {
      problem.residuals(p.subarray(0, own), out);
      for (const [i, weight] of weights.entries()) out[i]! -= weight * p[own]! * (i - middle);
    },
  });
  if (!drifting.converged || drifting.standardErrors === null) return null;
  const gain = Math.max(fit.sumOfSquares - drifting.sumOfSquares, 0);
  const f = gain / (drifting.sumOfSquares / nu);
  const p = Number.isFinite(f) ? fTail(f, { numerator: 1, denominator: nu }) : 0;
  return { drift: Math.expm1(drifting.parameters[own]!), p };
}

export interface RunOrderKeys {
  readonly drift_pct: number;
  readonly p: number;
}

export function runOrderKeys({ drift, p }: RunOrderDrift): RunOrderKeys {
  return { drift_pct: drift * 100, p };
}

/** Says a drift that is clear enough. */
export function runOrderFindings(found: RunOrderDrift | null): Finding[] {
  if (found === null || !(found.p < LEVEL)) return [];
  const way = found.drift < 0 ? 'fall' : 'rise';
  const size = inWords(Math.abs(found.drift), '%', 2);
  const message = `along the order of the rows the shots ${way} by ${size} a row (p = ${found.p.toPrecision(2)}), and no row has an age: what changed meanwhile is in the estimates`;
  return [floorFinding('fit-run-order', null, message)];
}
