import { commonUnit, gridRange, gridValue } from '../../numeric/setting-grid.ts';

export interface ProgramShot {
  /** Setting that delivers the aim exactly [s or Pa]. */
  readonly exact: number;
  /** Relative volume error at a setting; rises strictly with the setting. */
  readonly error: (setting: number) => number;
}

export interface ProgramProblem {
  readonly shots: readonly ProgramShot[];
  /** Shots by dwell a connector: 1, or 2 when the bore shot is one too; the shot is the last of them. */
  readonly pressesPerShot: number;
  /** Resolution of the first setting, and of the addition. */
  readonly step: number;
  readonly addStep: number;
  /** Limits of the station. */
  readonly min: number;
  readonly max: number;
}

/** Allowed settings of each shot, first and last, in units of the lattice. */
export interface Allowed {
  readonly low: number[];
  readonly high: number[];
}

/** Settings as whole multiples of the unit that `step` and `addStep` share, with the errors there kept once computed. */
export class Lattice {
  readonly unit: number;
  /** `step` and `addStep` in units. */
  readonly step: number;
  readonly add: number;
  /** Limits in units. */
  readonly min: number;
  readonly max: number;
  readonly presses: number;
  private readonly errors: Map<number, number>[];
  private readonly settings = new Map<number, number>();

  constructor(readonly problem: ProgramProblem) {
    const shared = commonUnit(problem.step, problem.addStep);
    this.unit = shared.unit;
    this.step = shared.firstCount;
    this.add = shared.secondCount;
    const range = gridRange({ min: problem.min, max: problem.max, step: this.unit });
    this.min = range.first;
    this.max = range.last;
    this.presses = problem.pressesPerShot;
    this.errors = problem.shots.map(() => new Map());
  }

  /** Relative error of shot i (from 0) at k units. */
  error(i: number, k: number): number {
    const known = this.errors[i]!.get(k);
    if (known !== undefined) return known;
    const error = this.problem.shots[i]!.error(this.setting(k));
    this.errors[i]!.set(k, error);
    return error;
  }

  /** The setting that is k units; shots have many of them in common. */
  private setting(k: number): number {
    const known = this.settings.get(k);
    if (known !== undefined) return known;
    const setting = gridValue(k, this.unit);
    this.settings.set(k, setting);
    return setting;
  }

  /** First and last setting in units at which |error| of each shot from `from` to `to` is at most `limit`. */
  allowed(limit: number, from: number, to: number): Allowed {
    const low: number[] = [];
    const high: number[] = [];
    for (let i = from - 1; i < to; i++) {
      low.push(this.firstWhere(i, error => error >= -limit, 1 - limit));
      high.push(this.firstWhere(i, error => error > limit, 1 + limit) - 1);
    }
    return { low, high };
  }

  /**
   * Least k inside the limits, or one past them, whose error satisfies a condition that stays true once it is. Looked for from so
   * many times the exact setting on, where it would be were the shot in proportion to the setting.
   */
  private firstWhere(i: number, condition: (error: number) => boolean, times: number): number {
    const expected = Math.round((this.problem.shots[i]!.exact * times) / this.unit);
    let below = this.min - 1; // condition false, or outside
    let above = this.max + 1; // condition true, or outside
    let probe = Math.min(this.max, Math.max(this.min, expected));
    let reach = 1;
    while (above - below > 1) {
      if (condition(this.error(i, probe))) above = probe;
      else below = probe;
      if (above === this.max + 1) probe = Math.min(above - 1, probe + reach);
      else if (below === this.min - 1) probe = Math.max(below + 1, probe - reach);
      else probe = Math.floor((above + below) / 2);
      reach *= 2;
    }
    return above;
  }
}

/** Additions before shot i (from 0) of a stage. */
export function additions(lattice: Lattice, every: number, i: number): number {
  return Math.floor((i * lattice.presses + lattice.presses - 1) / every);
}

/** Range of the first setting, in steps, that all shots of a run allow; first > last where there is none. */
export function firstSettings(
  lattice: Lattice,
  allowed: Allowed,
  program: { add: number; every: number },
): { first: number; last: number } {
  let low = lattice.min;
  let high = lattice.max;
  for (let i = 0; i < allowed.low.length && low <= high; i++) {
    const added = additions(lattice, program.every, i) * program.add * lattice.add;
    low = Math.max(low, allowed.low[i]! - added);
    high = Math.min(high, allowed.high[i]! - added);
  }
  return { first: Math.ceil(low / lattice.step), last: Math.floor(high / lattice.step) };
}

/**
 * Range of additions, in add steps, that the first and the last shot of a run allow against every other; most below least
 * where there is none. Necessary only: it leaves few additions to try with {@link firstSettings}.
 */
export function addRange(
  lattice: Lattice,
  allowed: Allowed,
  run: { every: number; from: number; to: number },
): { least: number; most: number } {
  const { every, from, to } = run;
  const before = (i: number) => additions(lattice, every, i - from);
  let least = 0;
  let most = Number.POSITIVE_INFINITY;
  const between = (early: number, late: number) => {
    const span = (before(late) - before(early)) * lattice.add;
    if (span === 0) return;
    least = Math.max(least, Math.ceil((allowed.low[late]! - allowed.high[early]!) / span));
    most = Math.min(most, Math.floor((allowed.high[late]! - allowed.low[early]!) / span));
  };
  between(from, to);
  const middle = (from + to) >> 1; // where a curve is furthest from its chord: most ranges end here
  between(from, middle);
  between(middle, to);
  // coarse to fine: where there is no range, which is nearly always, a few shots far apart show it
  for (let stride = COARSEST; stride >= 1; stride /= FINER) {
    for (let i = from; i <= to && least <= most; i += stride) {
      if (stride < COARSEST && (i - from) % (stride * FINER) === 0) continue; // done with the coarser stride
      between(from, i);
      between(i, to);
    }
  }
  if (Number.isFinite(most)) {
    const many = most - least > FEW_ADDITIONS;
    return many ? feasibleAdds(add => leeway(lattice, allowed, { ...run, add }), least, most) : { least, most };
  }
  // every shot stands behind the same number of additions: only the limits of the station bound them
  const made = before(to) * lattice.add;
  return { least, most: made === 0 ? 0 : Math.floor((allowed.high[to]! - lattice.min) / made) };
}

/** Strides through the shots of a run. */
const COARSEST = 64;
const FINER = 4;

/** Up to so many additions are tried one by one. */
const FEW_ADDITIONS = 16;

/** How far apart the bounds on a real-valued first setting lie for an addition [units]; below zero: there is none. */
function leeway(
  lattice: Lattice,
  allowed: Allowed,
  run: { every: number; from: number; to: number; add: number },
): number {
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  for (let i = run.from; i <= run.to; i++) {
    const added = additions(lattice, run.every, i - run.from) * run.add * lattice.add;
    low = Math.max(low, allowed.low[i]! - added);
    high = Math.min(high, allowed.high[i]! - added);
  }
  return high - low;
}

/** The additions whose leeway is not below zero; it is concave in the addition, so they are one range or none. */
function feasibleAdds(leewayAt: (add: number) => number, least: number, most: number): { least: number; most: number } {
  /** Least add in [from, to] at which a condition holds that stays true once it is; `to` if only there. */
  const first = (from: number, to: number, holds: (add: number) => boolean) => {
    let [low, high] = [from, to];
    while (low < high) {
      const middle = Math.floor((low + high) / 2);
      if (holds(middle)) high = middle;
      else low = middle + 1;
    }
    return low;
  };
  const widest = first(least, most, add => add === most || leewayAt(add) >= leewayAt(add + 1));
  if (leewayAt(widest) < 0) return { least: 0, most: -1 };
  const begin = first(least, widest, add => leewayAt(add) >= 0);
  const past = first(widest, most + 1, add => add > most || leewayAt(add) < 0);
  return { least: begin, most: past - 1 };
}
