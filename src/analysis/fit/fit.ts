import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted, shortened } from '../../diagnostics/number-words.ts';
import { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from '../../numeric/least-squares.ts';
import type { ProfileInterval } from '../../numeric/profile-interval.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { lackOfFit } from '../../stats/lack-of-fit.ts';
import {
  aiccOf,
  byAicc,
  estimatesOf,
  type FitEstimate,
  outliers,
  profilesOf,
  ROUNDING,
  rowFindings,
} from './fit-report.ts';
import { type FitRow, type PreparedRow, prepareRows, type ReadingErrors } from './fit-rows.ts';
import { replicateGroups } from './replicate-groups.ts';
import { type RunOrderKeys, runOrderDrift, runOrderFindings, runOrderKeys } from './run-order.ts';

export type { FitRow } from './fit-rows.ts';

export interface FitOptions extends ReadingErrors {
  /** Parameters to keep, with their values [-], [Pa], [s]. */
  readonly fixed?: {
    readonly viscosity_factor?: number;
    readonly pressure_offset?: number;
    readonly dead_time?: number;
  };
}

export interface FitResidual {
  readonly line: number;
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  readonly measured_uL: number;
  readonly model_uL: number;
  /** Above zero: more than the model says. */
  readonly residual_pct: number;
  readonly leverage: number;
  readonly outlier: boolean;
}

export interface FitResult {
  readonly parameters: readonly FitEstimate[];
  /** Relative, as a share [-]; null without degrees of freedom. */
  readonly residual_sd: number | null;
  /** Scatter of equal settings [-]; null without replicates. */
  readonly pure_error_sd: number | null;
  readonly lack_of_fit_p: number | null;
  readonly degrees_of_freedom: number;
  readonly rows: number;
  readonly weights: 'relative' | 'reading error';
  /** The parameters in all combinations that the data allow, the best first. */
  readonly models: readonly { readonly name: string; readonly aicc: number | null }[];
  /** Correlation of the estimates, in the order of the parameters; null where there is none. */
  readonly correlation: readonly (readonly number[])[] | null;
  readonly condition: number | null;
  readonly converged: boolean;
  readonly iterations: number;
  readonly residuals: readonly FitResidual[];
  /** Along the order of the rows; null where they have ages, or too few of them. */
  readonly run_order: RunOrderKeys | null;
}

/** Parameters of a calibration: how they are called, and what one is shown as. */
export const PARAMETERS = [
  { key: 'viscosity_factor', name: 'viscosity_factor', scale: 1, neutral: 1 },
  { key: 'pressure_offset', name: 'pressure_offset_kPa', scale: 1e-3, neutral: 0 },
  { key: 'dead_time', name: 'dead_time_s', scale: 1, neutral: 0 },
] as const;

/**
 * Calibration of a recipe to weighed shots or measured dots.
 *
 *   V = Q(pressure − pressure_offset)·(dwell − dead_time) / viscosity_factor, through the recipe's needle, resin and air
 *   residual: ln(measured/model), relative as long as it is small; weighted where a reading error is declared
 *
 * A parameter that the settings cannot move (one pressure, one dwell) is kept at the recipe's value, with a warning.
 */
export function fit(recipe: Recipe, rows: readonly FitRow[], options: FitOptions = {}): Outcome<FitResult> {
  const prepared = prepareRows(recipe, rows, options);
  const findings = [...prepared.findings];
  if (prepared.result === null) return { result: null, findings };
  const data = prepared.result;
  const held = holds(recipe, data, options, findings);
  const free = held.filter(h => h === null).length;
  if (data.length < free || data.length === 0) {
    const message = `${counted(data.length, 'row')} cannot tell ${free} parameters`;
    return { result: null, findings: [...findings, floorFinding('fit-too-few', null, message)] };
  }
  // The factor starts from logarithms of modelled volumes.
  const kept = held.map((value, k) => value ?? PARAMETERS[k]!.neutral);
  const still = data.filter(d => !(modelVolume(d, kept) > 0));
  if (still.length > 0) {
    const why = `${held.some(h => h !== null) ? 'with the parameters that are kept ' : ''}nothing flows by the model`;
    findings.push(...still.map(d => floorFinding('fit-row-impossible', null, `line ${d.row.line}: ${why}`)));
    return { result: null, findings };
  }
  const solved = solve(data, held);
  if (!solved.converged) {
    const message = `the fit stopped after ${solved.iterations} iterations: ${solved.reason}`;
    return { result: null, findings: [...findings, floorFinding('fit-not-converged', null, message)] };
  }
  const lack =
    (solved.residualSd ?? 0) > ROUNDING
      ? lackOfFit(solved.residuals, replicateGroups(data.map(d => d.row)), free)
      : null;
  const shown = PARAMETERS.map((p, k) => ({ ...p, fixed: held[k] !== null }));
  const parameters = estimatesOf(solved, shown, rowProfiles(data, held, solved));
  findings.push(...parameterFindings(parameters, data, solved));
  findings.push(...rowFindings(solved, i => `line ${data[i]!.row.line}`));
  if (lack !== null && lack.p < 0.05) {
    const message = `lack of fit: F = ${lack.f.toPrecision(3)} on ${lack.lackDegrees} and ${lack.pureDegrees} degrees of freedom, p = ${lack.p.toPrecision(2)}`;
    findings.push(floorFinding('fit-lack', null, message));
  }
  const drift = data.every(d => d.row.age === null)
    ? runOrderDrift(problemOf(data, held), solved, weightsOf(data))
    : null;
  findings.push(...runOrderFindings(drift));
  const result: FitResult = {
    parameters,
    residual_sd: solved.residualSd,
    pure_error_sd: lack === null ? null : lack.pureSd,
    lack_of_fit_p: lack === null ? null : lack.p,
    degrees_of_freedom: solved.degreesOfFreedom,
    rows: data.length,
    weights: data.every(d => d.readingError !== null) ? 'reading error' : 'relative',
    models: alternatives(data, held),
    correlation: correlationOf(solved),
    condition: Number.isFinite(solved.condition) ? solved.condition : null,
    converged: solved.converged,
    iterations: solved.iterations,
    residuals: residualsOf(data, solved),
    run_order: drift && runOrderKeys(drift),
  };
  return { result, findings };
}

/** Values at which parameters stay; null for those that are fitted. */
function holds(
  recipe: Recipe,
  data: readonly PreparedRow[],
  options: FitOptions,
  findings: Finding[],
): (number | null)[] {
  const distinct = (of: (row: FitRow) => number): number => new Set(data.map(d => of(d.row).toPrecision(12))).size;
  return PARAMETERS.map(({ key, neutral, name }) => {
    const fixed = options.fixed?.[key];
    if (fixed !== undefined) return fixed;
    const moved =
      key === 'viscosity_factor' || distinct(key === 'pressure_offset' ? r => r.pressure : r => r.dwell) > 1;
    if (moved) return null;
    const what = key === 'pressure_offset' ? 'pressure' : 'dwell';
    const value = recipe.calibration?.[key].value ?? neutral;
    findings.push(
      floorFinding(
        'fit-unresolved',
        null,
        `all rows have one ${what}, so ${name} cannot be told; it was kept at the recipe's value`,
      ),
    );
    return value;
  });
}

/** A resin a billion times as thin as the recipe says is a mistake in the data, or in the recipe. */
const LEAST_FACTOR = 1e-9;

function solve(data: readonly PreparedRow[], held: readonly (number | null)[]): LeastSquaresFit {
  return fitLeastSquares(problemOf(data, held));
}

function problemOf(data: readonly PreparedRow[], held: readonly (number | null)[]): LeastSquaresProblem {
  const weights = weightsOf(data);
  const pressure = Math.min(...data.map(d => d.row.pressure - d.point.restPressure)); // least that drives a row [Pa]
  const dwell = Math.min(...data.map(d => d.row.dwell));
  const offset = held[1] ?? 0;
  const dead = held[2] ?? 0;
  const logs = data.map(d => Math.log(modelVolume(d, [1, offset, dead]) / d.measured));
  const factor = Math.exp(logs.reduce((a, b) => a + b, 0) / logs.length);
  const start = [held[0] ?? (Number.isFinite(factor) ? Math.max(factor, LEAST_FACTOR) : 1), offset, dead];
  // The bounds keep every row flowing and open; a hundredth of the least is where the model says nothing any more.
  const bounds = [{ lower: LEAST_FACTOR }, { upper: 0.99 * pressure }, { upper: 0.99 * dwell }];
  const typical = [1, pressure / 10, dwell / 10];
  return {
    count: data.length,
    // Volumes through an air line are integrated to ten digits: what is left is far below the scatter of any weighing.
    options: { roundingOffset: 1e-4 },
    parameters: start.map((value, k) =>
      held[k] === null ? { start: value, typical: typical[k]!, ...bounds[k]! } : { start: value, fixed: true },
    ),
    residuals: (p, out) => {
      for (const [i, d] of data.entries()) out[i] = weights[i]! * Math.log(d.measured / modelVolume(d, p));
    },
  };
}

/**
 * The profile intervals. What bounds the fit is only where its rows stop to flow: a side that gets there has no end of its own, and a
 * parameter that ended there no interval.
 */
function rowProfiles(
  data: readonly PreparedRow[],
  held: readonly (number | null)[],
  solved: LeastSquaresFit,
): (ProfileInterval | null)[] {
  const problem = problemOf(data, held);
  return profilesOf(problem, solved).map((profile, k) => {
    if (profile === null || solved.atBound.includes(k)) return null;
    return { ...profile, high: profile.high === problem.parameters[k]!.upper ? null : profile.high };
  });
}

function modelVolume({ point, row }: PreparedRow, p: ArrayLike<number>): number {
  const dwell = row.dwell - p[2]!;
  return dwell > 0 ? point.deliver({ pressure: row.pressure - p[1]!, dwell }).volume / p[0]! : 0;
}

/** Weights that share out declared reading errors, their geometric mean one; all one where a row has none. */
function weightsOf(data: readonly PreparedRow[]): number[] {
  const errors = data.flatMap(d => (d.readingError === null ? [] : [d.readingError]));
  if (errors.length < data.length) return data.map(() => 1);
  const usual = Math.exp(errors.reduce((sum, e) => sum + Math.log(e), 0) / errors.length);
  return errors.map(e => usual / e);
}

function parameterFindings(
  parameters: readonly FitEstimate[],
  data: readonly PreparedRow[],
  solved: LeastSquaresFit,
): Finding[] {
  // An interval this wide spans everything that the parameter could do to these rows.
  const reach = [
    Math.abs(parameters[0]!.estimate),
    Math.min(...data.map(d => d.row.pressure)) / 1e3 / 2,
    Math.min(...data.map(d => d.row.dwell)) / 2,
  ];
  return parameters.flatMap((p, k) => {
    if (p.fixed) return [];
    if (p.at_bound)
      return [floorFinding('fit-at-bound', null, `${p.name} ended at its bound, ${shortened(p.estimate)}`)];
    if (p.open !== null) {
      const side = { low: 'below', high: 'above', both: 'both ways' }[p.open];
      const message = `${p.name} cannot be told from these data: its interval is open ${side}`;
      return [floorFinding('fit-unresolved', null, message)];
    }
    if (p.standard_error === null || p.low === null || p.high === null) {
      const message =
        solved.degreesOfFreedom === 0 ? 'there are as many parameters as rows' : 'it moves together with another';
      return [floorFinding('fit-unresolved', null, `${p.name} has no interval: ${message}`)];
    }
    if (p.high - p.estimate < reach[k]! && solved.condition < 1e6) return [];
    const range = `${shortened(p.low, 3)} to ${shortened(p.high, 3)}`;
    return [
      floorFinding('fit-unresolved', null, `${p.name} cannot be told from these data: anything from ${range} fits`),
    ];
  });
}

/** Fits with every subset of the free parameters beside the factor, the others at their neutral values; best first. */
function alternatives(
  data: readonly PreparedRow[],
  held: readonly (number | null)[],
): { name: string; aicc: number | null }[] {
  const open = PARAMETERS.flatMap((_, k) => (held[k] === null ? [k] : []));
  const subsets = Array.from({ length: 2 ** open.length }, (_, bits) => open.filter((_, i) => (bits >> i) % 2 === 1));
  const models = subsets.map(free => {
    const name = free.map(k => PARAMETERS[k]!.key).join(' + ') || 'recipe as it is';
    const kept = PARAMETERS.map((p, k) => (free.includes(k) ? null : (held[k] ?? p.neutral)));
    const { sumOfSquares, converged } = solve(data, kept);
    return {
      name,
      aicc: converged ? aiccOf({ sumOfSquares, count: data.length, parameters: free.length }) : null,
    };
  });
  return models.sort(byAicc);
}

function correlationOf({ covariance }: LeastSquaresFit): number[][] | null {
  if (covariance === null) return null;
  const n = covariance.columns;
  const sd = Array.from({ length: n }, (_, k) => Math.sqrt(covariance.data[k * n + k]!));
  return sd.map((a, i) => sd.map((b, j) => (a * b > 0 ? covariance.data[i * n + j]! / (a * b) : i === j ? 1 : 0)));
}

function residualsOf(data: readonly PreparedRow[], solved: LeastSquaresFit): FitResidual[] {
  const apart = new Set(outliers(solved));
  return data.map((d, i) => {
    const model = modelVolume(d, solved.parameters);
    return {
      line: d.row.line,
      pressure_kPa: d.row.pressure / 1e3,
      dwell_s: d.row.dwell,
      measured_uL: d.measured * 1e9,
      model_uL: model * 1e9,
      residual_pct: 100 * (d.measured / model - 1),
      leverage: solved.leverage[i]!,
      outlier: apart.has(i),
    };
  });
}
