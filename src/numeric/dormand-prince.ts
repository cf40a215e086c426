/** One step of the Dormand–Prince 5(4) pair: its coefficients, its error estimate and its dense output. */

/** dy/dt written into `dy`; may not keep either array. */
export type Derivative = (t: number, y: ArrayLike<number>, dy: Float64Array) => void;

/** Nodes, stages and weights of Dormand & Prince, J. Comput. Appl. Math. 6 (1980) 19-26, table 2. */
const C = [0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1, 1] as const;
const A: readonly (readonly number[])[] = [
  [],
  [1 / 5],
  [3 / 40, 9 / 40],
  [44 / 45, -56 / 15, 32 / 9],
  [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729],
  [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656],
  [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
];
/** Fifth-order weights less the fourth-order ones. */
const E = [71 / 57600, 0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40] as const;
/** Dense output of order 4: Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations I, 2nd ed., II.6. */
const D = [
  -12715105075 / 11282082432,
  0,
  87487479700 / 32700410799,
  -10690763975 / 1880347072,
  701980252875 / 199316789632,
  -1453857185 / 822651844,
  69997945 / 29380423,
] as const;

/**
 * The seven stages of a step, kept so that the last of one step is the first of the next. `take` fills `next` (the state
 * at t + h) and `error` (difference of the two formulas); nothing is allocated after construction.
 */
export class DormandPrinceStep {
  readonly next: Float64Array;
  readonly error: Float64Array;
  private readonly stages: Float64Array[];
  private readonly trial: Float64Array;

  constructor(
    readonly derivative: Derivative,
    readonly size: number,
  ) {
    this.next = new Float64Array(size);
    this.error = new Float64Array(size);
    this.trial = new Float64Array(size);
    this.stages = C.map(() => new Float64Array(size));
  }

  /** Slope at the start of the step; call it once, later steps carry it over by `accept`. */
  begin(t: number, y: Float64Array): Float64Array {
    const first = this.stages[0]!;
    this.derivative(t, y, first);
    return first;
  }

  /** Computes the step from (t, y) over h; the slope at (t, y) must be there already. */
  take(t: number, y: Float64Array, h: number): void {
    for (let s = 1; s < 7; s++) {
      const row = A[s]!;
      const at = s === 6 ? this.next : this.trial;
      for (let i = 0; i < this.size; i++) {
        let sum = 0;
        for (let j = 0; j < s; j++) sum += row[j]! * this.stages[j]![i]!;
        at[i] = y[i]! + h * sum;
      }
      this.derivative(t + C[s]! * h, at, this.stages[s]!);
    }
    for (let i = 0; i < this.size; i++) {
      let sum = 0;
      for (let s = 0; s < 7; s++) sum += E[s]! * this.stages[s]![i]!;
      this.error[i] = h * sum;
    }
  }

  /** Makes the last slope of the step the first of the next one. */
  accept(): void {
    const first = this.stages[0]!;
    this.stages[0] = this.stages[6]!;
    this.stages[6] = first;
  }

  /** Interpolant of the step just taken (before `accept`); it keeps its own copy of the coefficients. */
  dense(t: number, y: Float64Array, h: number): (at: number) => Float64Array {
    const n = this.size;
    const from = Float64Array.from(y);
    const rise = new Float64Array(n);
    const low = new Float64Array(n);
    const bend = new Float64Array(n);
    const last = new Float64Array(n);
    const first = this.stages[0]!;
    const end = this.stages[6]!;
    for (let i = 0; i < n; i++) {
      rise[i] = this.next[i]! - y[i]!;
      low[i] = h * first[i]! - rise[i]!;
      bend[i] = rise[i]! - h * end[i]! - low[i]!;
      let sum = 0;
      for (let s = 0; s < 7; s++) sum += D[s]! * this.stages[s]![i]!;
      last[i] = h * sum;
    }
    return at => {
      const u = (at - t) / h;
      const v = 1 - u;
      return from.map((f, i) => f + u * (rise[i]! + v * (low[i]! + u * (bend[i]! + v * last[i]!))));
    };
  }
}
