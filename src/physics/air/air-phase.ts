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
  /** Where the flow has a kink, in any order; those outside the stretch do not count. */
  cuts?: readonly number[];
  /** Below this an error does not matter [unit of the integral]. */
  absolute?: number;
}

/**
 * Integral of the flow over one stretch of a shot, smooth but for its cuts, at which it is taken apart.
 *
 * Where the flow starts or stops it goes like a power 1/n or 1 + 1/n of the distance; x = end ± length·s² doubles that
 * power and the quadrature needs no finer panels there.
 */
export function integratePhase({ cuts = [], ...phase }: Phase): number {
  const { from, to, soft } = phase;
  const inside = cuts.filter(cut => cut > from && cut < to);
  if (inside.length === 0) return integrateSmooth(phase);
  const ends = [from, ...inside.sort((a, b) => a - b), to];
  let sum = 0;
  for (let i = 1; i < ends.length; i++) {
    const { soft: _, ...piece } = { ...phase, from: ends[i - 1]!, to: ends[i]! };
    const softHere = soft === (i === 1 ? 'from' : i === ends.length - 1 ? 'to' : null);
    sum += integrateSmooth(softHere ? { ...piece, soft } : piece);
  }
  return sum;
}

export interface OpenPhase {
  rate: (x: number) => number;
  /** Where the flow starts or stops: the end that stays. */ fixed: number;
  /** Where the flow has a kink, one by one from that end on, all on the side of the other end. */
  cuts: readonly number[];
}

/** Integrals like {@link integratePhase} from one end to many others: what lies between two cuts is worked out once. */
export function openPhase({ rate, fixed, cuts }: OpenPhase): (end: number) => number {
  const whole: number[] = [];
  const piece = (at: number, end: number, isFirst: boolean): number => {
    const [from, to] = at < end ? [at, end] : [end, at];
    return integrateSmooth({ rate, from, to, ...(isFirst && { soft: at < end ? 'from' : 'to' }) });
  };
  return end => {
    let sum = 0;
    let at = fixed;
    for (const [i, cut] of cuts.entries()) {
      if (Math.abs(cut - fixed) >= Math.abs(end - fixed)) break;
      whole[i] ??= piece(at, cut, i === 0);
      sum += whole[i]!;
      at = cut;
    }
    return sum + piece(at, end, at === fixed);
  };
}

function integrateSmooth({ rate, from, to, soft, absolute }: Phase): number {
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
