import { numericJacobian } from '../../numeric/jacobian.ts';
import { inverseNormalMatrix, matrix, qrFactors } from '../../numeric/linear-algebra.ts';
import { tQuantile } from '../../stats/distributions.ts';
import type { OperatingPoint } from '../delivery/operating-point.ts';

/** One setting of a trial, at which all its replicates are made. */
export interface TrialCell {
  readonly pressure: number; // [Pa]
  readonly dwell: number; // [s]
  readonly point: OperatingPoint;
  /** Relative standard uncertainty of one weighing [-]. */
  readonly scatter: number;
}

/** Names as in a fit; the order of every list below. */
export const TRIAL_PARAMETERS = ['viscosity_factor', 'pressure_offset_kPa', 'dead_time_s'] as const;
export type TrialParameter = (typeof TRIAL_PARAMETERS)[number];
const PER_SHOWN = [1, 1e3, 1]; // SI of one unit of the name

/** What one replicate of every cell would tell; covariance in the units of the names, null where a parameter is kept. */
export interface DesignInformation {
  readonly free: readonly boolean[];
  /** Standard error [unit of the name] of one replicate of every cell, null for kept parameters. */
  readonly standardErrors: readonly (number | null)[];
  readonly correlation: readonly (readonly (number | null)[])[];
  /** The cells with any replicates tell all free parameters apart. */
  readonly full: boolean;
  readonly cells: number;
}

/**
 * What a fit of the trial would know about its parameters, before it is made.
 *
 *   residual ln(measured/V), V = Q(pressure − offset)·(dwell − dead time)/factor;  covariance = (JᵀJ)⁻¹ with the rows of the Jacobian
 *   divided by their scatter
 *
 * The Jacobian is taken at factor 1, offset 0, dead time 0: the recipe as it stands. A parameter that the settings cannot move (one
 * pressure, one dwell) is kept, as the fit does.
 * Source: Seber & Wild, Nonlinear Regression, 1989, 2.1 (asymptotic covariance). Evidence: by hand for a Newtonian resin, for which
 * ∂ln V/∂offset = −1/(P − friction) and ∂ln V/∂dead time = −1/dwell; against the standard errors of fits of simulated trials.
 */
export function designInformation(cells: readonly TrialCell[]): DesignInformation {
  const several = (of: (cell: TrialCell) => number) => new Set(cells.map(of)).size > 1;
  const free = [true, several(c => c.pressure), several(c => c.dwell)];
  const by = free.flatMap((open, k) => (open ? [k] : []));
  const full = cells.length >= by.length;
  const nothing = { free, standardErrors: free.map(() => null), correlation: free.map(() => free.map(() => null)) };
  if (!full) return { ...nothing, full, cells: cells.length };
  const jacobian = logVolumeJacobian(cells, by);
  const rows = matrix(
    { rows: cells.length, columns: by.length },
    jacobian.map((v, i) => v / cells[Math.floor(i / by.length)]!.scatter),
  );
  const factors = qrFactors(rows);
  if (factors.rank < by.length) return { ...nothing, full: false, cells: cells.length };
  const covariance = inverseNormalMatrix(factors).data;
  const n = by.length;
  const at = (a: number, b: number) => {
    const [i, j] = [by.indexOf(a), by.indexOf(b)];
    return i < 0 || j < 0 ? null : covariance[i * n + j]!;
  };
  const sd = free.map((_, k) => (at(k, k) === null ? null : Math.sqrt(at(k, k)!)));
  return {
    free,
    standardErrors: sd.map((s, k) => (s === null ? null : s / PER_SHOWN[k]!)),
    correlation: free.map((_, a) =>
      free.map((__, b) => (sd[a] == null || sd[b] == null ? null : at(a, b)! / (sd[a]! * sd[b]!))),
    ),
    full: true,
    cells: cells.length,
  };
}

/** ∂ ln V/∂(factor, offset [Pa], dead time [s]) at the recipe as it stands, one row a cell. */
function logVolumeJacobian(cells: readonly TrialCell[], by: readonly number[]): Float64Array {
  const least = (of: (cell: TrialCell) => number) => Math.min(...cells.map(of));
  const wide = [1, least(c => c.pressure), least(c => c.dwell)];
  return numericJacobian({
    fn: (p, out) => {
      for (const [i, { point, pressure, dwell }] of cells.entries()) {
        out[i] = Math.log(point.deliver({ pressure: pressure - p[1]!, dwell: dwell - p[2]! }).volume / p[0]!);
      }
    },
    count: cells.length,
    at: Float64Array.of(1, 0, 0),
    by,
    lower: Float64Array.of(0.1, -wide[1]!, -wide[2]!),
    upper: Float64Array.of(10, wide[1]! / 4, wide[2]! / 4),
    typical: Float64Array.from(wide),
    careful: true,
  });
}

/** Half-widths of the 95 % intervals after so many replicates of every cell; null for kept parameters and without degrees of freedom. */
export function halfWidths(design: DesignInformation, replicates: number): (number | null)[] {
  const degrees = design.cells * replicates - design.free.filter(Boolean).length;
  if (degrees < 1) return design.free.map(() => null);
  const t = tQuantile(0.975, degrees);
  return design.standardErrors.map(s => (s === null ? null : (t * s) / Math.sqrt(replicates)));
}
