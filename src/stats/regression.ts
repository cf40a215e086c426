import { DomainError } from '../numeric/domain-error.ts';
import {
  inverseNormalMatrix,
  leverages,
  type Matrix,
  matrix,
  type QrFactors,
  qrFactors,
  solveWithQr,
} from '../numeric/linear-algebra.ts';
import { compensatedSum, mean } from './descriptive.ts';
import { fTail } from './distributions.ts';

export interface LinearRegression {
  readonly estimates: Float64Array;
  /** Null without degrees of freedom. */
  readonly standardErrors: Float64Array | null;
  readonly covariance: Matrix | null;
  readonly residuals: Float64Array;
  readonly sumOfSquares: number;
  readonly degreesOfFreedom: number;
  readonly residualSd: number | null;
  readonly leverage: Float64Array;
}

/**
 * Linear least squares y ≈ X·b, by Householder QR of the scaled columns and one pass of refinement with exact residual sums.
 *
 * Shape: X as a matrix with one row a reading (a column of ones for a constant), y as many.
 * Throws: DomainError when the sizes do not fit, there are fewer rows than columns, or columns depend on each other.
 * Source: Björck, Numerical Methods for Least Squares Problems, 1996, sec. 2.9 (refinement).
 * Evidence: StRD Norris and Longley to 9 digits.
 */
export function linearRegression(x: Matrix, y: ArrayLike<number>): LinearRegression {
  if (y.length !== x.rows) throw new DomainError('y', y.length, '-', `${x.rows} in number`);
  const size = columnLengths(x);
  const scaled = matrix(
    { rows: x.rows, columns: x.columns },
    x.data.map((v, i) => v / size[i % x.columns]!),
  );
  const f = qrFactors(scaled);
  if (f.rank < x.columns) throw new DomainError('columns', f.rank, '-', `independent, all ${x.columns}`);
  const b = solveWithQr(f, y);
  for (let pass = 0; pass < 2; pass++) refine(scaled, f, b, y);
  const residuals = residualsOf(scaled, b, y);
  const sumOfSquares = compensatedSum(residuals.map(r => r * r));
  const degreesOfFreedom = x.rows - x.columns;
  const variance = degreesOfFreedom > 0 ? sumOfSquares / degreesOfFreedom : null;
  let covariance: Matrix | null = null;
  if (variance !== null) {
    covariance = inverseNormalMatrix(f);
    for (let i = 0; i < covariance.data.length; i++) {
      const both = size[Math.floor(i / x.columns)]! * size[i % x.columns]!;
      covariance.data[i] = (covariance.data[i]! * variance) / both;
    }
  }
  const spread = covariance;
  return {
    estimates: b.map((v, k) => v / size[k]!),
    standardErrors:
      spread && Float64Array.from({ length: x.columns }, (_, k) => Math.sqrt(spread.data[k * (x.columns + 1)]!)),
    covariance,
    residuals,
    sumOfSquares,
    degreesOfFreedom,
    residualSd: variance === null ? null : Math.sqrt(variance),
    leverage: leverages(f),
  };
}

export interface LackOfFit {
  readonly f: number;
  readonly p: number;
  readonly lackDegrees: number;
  readonly pureDegrees: number;
  readonly pureSd: number;
}

/**
 * F-test of lack of fit against pure error from replicates, for any least-squares fit.
 *
 *   SS(pure) = Σ (rᵢ − mean of its group)²,  F = (SS(lack)/(groups − parameters)) / (SS(pure)/(n − groups))
 *
 * Shape: residuals (weighted alike) and for each the name of its group of equal settings.
 * Null where there are no replicates, no more groups than parameters, or replicates without scatter.
 * Throws: DomainError when the lists differ in length.
 * Source: Draper & Smith, Applied Regression Analysis, 3rd ed., sec. 2.1.
 * Evidence: by hand, five readings at three settings.
 */
export function lackOfFit(
  residuals: ArrayLike<number>,
  groups: readonly string[],
  parameters: number,
): LackOfFit | null {
  if (groups.length !== residuals.length)
    throw new DomainError('groups', groups.length, '-', `${residuals.length} in number`);
  const members = new Map<string, number[]>();
  for (const [i, name] of groups.entries()) members.set(name, [...(members.get(name) ?? []), residuals[i]!]);
  const lackDegrees = members.size - parameters;
  const pureDegrees = residuals.length - members.size;
  if (lackDegrees < 1 || pureDegrees < 1) return null;
  const pure = compensatedSum([...members.values()].flatMap(g => g.map(r => (r - mean(g)) ** 2)));
  const all = compensatedSum(Float64Array.from(residuals, r => r * r));
  if (!(pure > 1e-24 * all)) return null;
  const f = Math.max(0, all - pure) / lackDegrees / (pure / pureDegrees);
  const p = fTail(f, { numerator: lackDegrees, denominator: pureDegrees });
  return { f, p, lackDegrees, pureDegrees, pureSd: Math.sqrt(pure / pureDegrees) };
}

/**
 * Akaike's information criterion with the correction for small samples: n·ln(RSS/n) + 2k + 2k(k + 1)/(n − k − 1), k counting the variance.
 * Only differences between models of the same data mean anything. Null where n ≤ k + 1.
 * Source: Hurvich & Tsai, Biometrika 76 (1989) 297; Burnham & Anderson, Model Selection, 2nd ed., sec. 2.4.
 * Evidence: by hand.
 */
export function correctedAkaike(fit: { sumOfSquares: number; count: number; parameters: number }): number | null {
  const { count: n, parameters, sumOfSquares } = fit;
  const k = parameters + 1;
  if (n <= k + 1) return null;
  // An exact fit would give minus infinity; the floor is what rounding leaves of it.
  const perReading = Math.max(sumOfSquares / n, Number.MIN_VALUE ** 0.5);
  return n * Math.log(perReading) + 2 * k + (2 * k * (k + 1)) / (n - k - 1);
}

/** Lengths of the columns, rounded to powers of two so that dividing by them loses nothing. */
function columnLengths(x: Matrix): Float64Array {
  const out = new Float64Array(x.columns);
  for (let i = 0; i < x.data.length; i++) out[i % x.columns]! += x.data[i]! ** 2;
  return out.map(s => (s > 0 ? 2 ** Math.round(Math.log2(s) / 2) : 1));
}

/** y − X·b with every sum compensated and every product split into its exact halves. */
function residualsOf(x: Matrix, b: Float64Array, y: ArrayLike<number>): Float64Array {
  const terms = new Float64Array(2 * x.columns + 1);
  return Float64Array.from(y, (v, i) => {
    terms[0] = v;
    for (let k = 0; k < x.columns; k++) {
      const product = x.data[i * x.columns + k]! * b[k]!;
      terms[2 * k + 1] = -product;
      terms[2 * k + 2] = -productError(x.data[i * x.columns + k]!, b[k]!, product);
    }
    return compensatedSum(terms);
  });
}

/** What rounding took from a·b (Dekker, Numer. Math. 18 (1971) 224). */
function productError(a: number, b: number, product: number): number {
  const [ah, al] = halves(a);
  const [bh, bl] = halves(b);
  return al * bl - (product - ah * bh - al * bh - ah * bl);
}

function halves(v: number): [number, number] {
  const t = 134217729 * v;
  const high = t - (t - v);
  return [high, v - high];
}

function refine(x: Matrix, f: QrFactors, b: Float64Array, y: ArrayLike<number>): void {
  const correction = solveWithQr(f, residualsOf(x, b, y));
  for (let k = 0; k < b.length; k++) b[k]! += correction[k]!;
}
