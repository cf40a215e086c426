import { integrate } from '../../numeric/quadrature.ts';

/** Relative accuracy asked of each stretch of a shot; the shot as a whole is held to 1e-6. */
const RELATIVE = 1e-8;

export interface Phase {
  /** What is integrated. */
  rate: (x: number) => number;
  from: number;
  to: number;
  /** The end, if any, at which the flow starts or stops and is therefore not smooth. */
  soft?: 'from' | 'to';
  /** Below this an error does not matter [unit of the integral]. */
  absolute?: number;
}

/**
 * Integral of the flow over one smooth stretch of a shot.
 *
 * Where the flow starts or stops it goes like a power 1/n or 1 + 1/n of the distance; x = end ± length·s² doubles that
 * power and the quadrature needs no finer panels there.
 */
export function integratePhase({ rate, from, to, soft, absolute }: Phase): number {
  const length = to - from;
  if (!(length > 0)) return 0;
  const options = absolute === undefined ? { relative: RELATIVE } : { relative: RELATIVE, absolute };
  if (soft === undefined) return integrate(rate, from, to, options);
  const smooth =
    soft === 'from'
      ? (s: number) => rate(from + length * s * s) * 2 * length * s
      : (s: number) => rate(to - length * s * s) * 2 * length * s;
  return integrate(smooth, 0, 1, options);
}
