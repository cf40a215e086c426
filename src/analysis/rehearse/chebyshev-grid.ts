/** One of three axes: so many Chebyshev points of the first kind between two ends; one point for what does not matter. */
export interface GridAxis {
  readonly low: number;
  readonly high: number;
  readonly nodes: number;
}

export interface ChebyshevGrid {
  readonly at: (x: number, y: number, z: number) => number;
  /** The same along the last axis, for many places on it. */
  readonly along: (x: number, y: number) => (z: number) => number;
}

/**
 * A smooth function of three numbers, in its own unit, interpolated from its values on a grid of Chebyshev points; null where one
 * of them is not finite.
 *
 * Valid for: arguments inside the axes; the caller looks whether it agrees with the function elsewhere.
 * Source: barycentric formula for Chebyshev points of the first kind (Berrut & Trefethen 2004, from memory), axis by axis.
 * Evidence: polynomials of the grid's degree are met exactly; an exponential to its error bound.
 */
export function chebyshevGrid(
  f: (x: number, y: number, z: number) => number,
  axes: readonly [GridAxis, GridAxis, GridAxis],
): ChebyshevGrid | null {
  const [a, b, c] = axes.map(axisOf) as [Axis, Axis, Axis];
  const values = new Float64Array(a.count * b.count * c.count);
  let at = 0;
  for (const x of a.places) {
    for (const y of b.places) {
      for (const z of c.places) {
        const value = f(x, y, z);
        if (!Number.isFinite(value)) return null;
        values[at++] = value;
      }
    }
  }
  return {
    at: (x, y, z) => {
      a.weigh(x);
      b.weigh(y);
      c.weigh(z);
      let sum = 0;
      let k = 0;
      for (let i = 0; i < a.count; i++) {
        let row = 0;
        for (let j = 0; j < b.count; j++) {
          let line = 0;
          for (let l = 0; l < c.count; l++) line += c.shares[l]! * values[k++]!;
          row += b.shares[j]! * line;
        }
        sum += a.shares[i]! * row;
      }
      return sum;
    },
    along: (x, y) => {
      a.weigh(x);
      b.weigh(y);
      const line = new Float64Array(c.count);
      let k = 0;
      for (const share of a.shares) {
        for (const other of b.shares) {
          for (let l = 0; l < c.count; l++) line[l]! += share * other * values[k++]!;
        }
      }
      return z => {
        c.weigh(z);
        let sum = 0;
        for (let l = 0; l < c.count; l++) sum += c.shares[l]! * line[l]!;
        return sum;
      };
    },
  };
}

interface Axis {
  readonly count: number;
  readonly places: Float64Array;
  /** What each point counts at the place last weighed; they add up to one. */
  readonly shares: Float64Array;
  readonly weigh: (place: number) => void;
}

function axisOf({ low, high, nodes: count }: GridAxis): Axis {
  const angle = (j: number) => ((2 * j + 1) * Math.PI) / (2 * count);
  const middle = (low + high) / 2;
  const half = (high - low) / 2;
  const places = Float64Array.from({ length: count }, (_, j) => middle + half * Math.cos(angle(j)));
  const factors = Float64Array.from({ length: count }, (_, j) => (j % 2 === 0 ? 1 : -1) * Math.sin(angle(j)));
  const shares = new Float64Array(count);
  if (count === 1) {
    shares[0] = 1;
    return { count, places, shares, weigh: () => {} };
  }
  const weigh = (place: number) => {
    let sum = 0;
    for (let j = 0; j < count; j++) {
      const distance = place - places[j]!;
      if (distance === 0) {
        shares.fill(0);
        shares[j] = 1;
        return;
      }
      shares[j] = factors[j]! / distance;
      sum += shares[j]!;
    }
    for (let j = 0; j < count; j++) shares[j]! /= sum;
  };
  return { count, places, shares, weigh };
}
