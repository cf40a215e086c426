import { DomainError, requireNonNegative } from '../numeric/domain-error.ts';
import { cholesky, matrix } from '../numeric/linear-algebra.ts';
import type { RandomSource } from '../numeric/random.ts';
import { copulaCorrelation, type DeviationShape, fromNormal } from './copula.ts';
import type { InputCorrelation } from './uncertainty.ts';

/** How one input deviates from its value, symmetric about zero. */
export interface InputDeviation {
  readonly shape: DeviationShape;
  /** Standard deviation, in the unit of the input. */
  readonly uncertainty: number;
}

/** Draws one deviation of every input into the first places of `out`. */
export type JointSampler = (out: Float64Array, random: RandomSource) => void;

/**
 * Sampler of inputs that deviate on their own or, where a correlation is declared, together; null where no inputs can have
 * these correlations (the matrix is not positive definite, or the shapes do not reach that r).
 *
 *   on their own: normal u·z; uniform √3·u·v; triangular √6·u·(v₁ + v₂)/2; v between −1 and 1, flat
 *   together: z = L·z', R = L·Lᵀ the matrix of `copulaCorrelation`, each z turned into its shape (Gaussian copula); for
 *   normal inputs that is the multivariate normal distribution itself
 *
 * The order of draws is fixed, so one seed gives one sample.
 * Throws: DomainError for an uncertainty below zero, r outside −1 to 1, or a pair that names one input or none.
 * Source: JCGM 101:2008, 6.4; for the copula Nelsen, An Introduction to Copulas (from memory).
 * Evidence: moments of every shape; declared r found again in the sample; a matrix that cannot be.
 */
export function jointSampler(
  inputs: readonly InputDeviation[],
  correlations: readonly InputCorrelation[] = [],
): JointSampler | null {
  for (const [i, input] of inputs.entries()) {
    requireNonNegative(`inputs[${i}].uncertainty`, input.uncertainty, 'the unit of the input');
  }
  const together = correlatedGroup(inputs, correlations);
  if (together === null) return null;
  const inGroup = new Set(together.members);
  const alone = inputs.flatMap((input, i) => (inGroup.has(i) ? [] : [{ ...input, i }]));
  const at = (shape: DeviationShape) => alone.filter(input => input.shape === shape);
  const [normals, uniforms, triangulars] = [at('normal'), at('uniform'), at('triangular')];
  const places = (list: typeof alone) => Int32Array.from(list, ({ i }) => i);
  const scales = (list: typeof alone, factor: number) =>
    Float64Array.from(list, ({ uncertainty }) => factor * uncertainty);
  const [normalAt, uniformAt, triangularAt] = [places(normals), places(uniforms), places(triangulars)];
  const [sd, half, halfTriangle] = [
    scales(normals, 1),
    scales(uniforms, Math.sqrt(3)),
    scales(triangulars, Math.sqrt(6)),
  ];
  const drawTogether = together.members.length === 0 ? null : together.draw;
  return (out, random) => {
    for (let k = 0; k < normalAt.length; k++) out[normalAt[k]!] = sd[k]! * random.normal();
    for (let k = 0; k < uniformAt.length; k++) out[uniformAt[k]!] = half[k]! * flat(random.uint32());
    for (let k = 0; k < triangularAt.length; k++) {
      out[triangularAt[k]!] = (halfTriangle[k]! / 2) * (flat(random.uint32()) + flat(random.uint32()));
    }
    if (drawTogether !== null) drawTogether(out, random);
  };
}

/** A word as a number between −1 and 1, never either; 32 bits are finer than any tolerance. */
function flat(word: number): number {
  return (word + 0.5) / 2147483648 - 1;
}

/** The inputs of any declared pair, drawn as one vector. */
function correlatedGroup(inputs: readonly InputDeviation[], correlations: readonly InputCorrelation[]) {
  const members = [...new Set(correlations.flatMap(({ between }) => between))].sort((a, b) => a - b);
  const n = members.length;
  const r = matrix({ rows: n, columns: n });
  for (let k = 0; k < n; k++) r.data[k * n + k] = 1;
  for (const [k, { between, r: declared }] of correlations.entries()) {
    const [a, b] = between.map(i => inputs[i]);
    if (a === undefined || b === undefined || between[0] === between[1]) {
      throw new DomainError(`correlations[${k}].between`, between[1], '-', 'two different inputs');
    }
    const underlying = copulaCorrelation({ first: a.shape, second: b.shape, r: declared });
    if (underlying === null) return null;
    const [i, j] = between.map(input => members.indexOf(input)) as [number, number];
    r.data[i * n + j] = underlying;
    r.data[j * n + i] = underlying;
  }
  const factor = cholesky(r);
  if (factor === null) return null;
  const shapes = members.map(i => fromNormal(inputs[i]!.shape));
  const scale = members.map(i => inputs[i]!.uncertainty);
  const z = new Float64Array(n);
  const draw: JointSampler = (out, random) => {
    for (let i = 0; i < n; i++) z[i] = random.normal();
    for (let i = n - 1; i >= 0; i--) {
      let sum = 0;
      for (let j = 0; j <= i; j++) sum += factor.data[i * n + j]! * z[j]!;
      out[members[i]!] = scale[i]! * shapes[i]!(sum);
    }
  };
  return { members, draw };
}
