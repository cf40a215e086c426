import { commonUnit, gridRange, gridValue } from './setting-grid.ts';

/** One stage of a step program: `first` for the first `every` presses, then `add` more for each further `every`. */
export interface ProgramStage {
  /** Connector with which the stage starts, from 1. */
  readonly fromShot: number;
  /** First setting of the stage [s, or Pa for a program of pressure]. */
  readonly first: number;
  /** [the same unit] */
  readonly add: number;
  /** Presses between two additions. */
  readonly every: number;
}

export interface ProgramShot {
  /** Setting that delivers the aim exactly [s or Pa]. */
  readonly exact: number;
  /** Relative volume error at a setting; rises strictly with the setting. */
  readonly error: (setting: number) => number;
}

export interface ProgramProblem {
  readonly shots: readonly ProgramShot[];
  /** Timed presses a connector: 1, or 2 when the bore shot is timed too; the shot is the last of them. */
  readonly pressesPerShot: number;
  /** Resolution of the first setting, and of the addition. */
  readonly step: number;
  readonly addStep: number;
  /** Limits of the station. */
  readonly min: number;
  readonly max: number;
}

export interface StageProgram {
  readonly stages: readonly ProgramStage[];
  /** Largest |relative volume error| over all shots. */
  readonly worst: number;
}

/** Errors closer than this are equal; then the larger `every` and the smaller `add` win. */
export const EQUAL_ERRORS = 1e-9;

/** Additions made before the press of a connector, both counted from the start of the stage; shots from 1. */
export function additionsBefore(
  stage: { fromShot: number; every: number },
  shot: number,
  pressesPerShot: number,
): number {
  const press = (shot - stage.fromShot) * pressesPerShot + pressesPerShot - 1;
  return Math.floor(press / stage.every);
}

/** The setting a program gives for a connector (from 1) [s or Pa]; stages in the order of `fromShot`. */
export function programSetting(stages: readonly ProgramStage[], shot: number, pressesPerShot: number): number {
  let current = stages[0]!;
  for (const stage of stages) if (stage.fromShot <= shot) current = stage;
  return gridValue(current.first + current.add * additionsBefore(current, shot, pressesPerShot), 1);
}

/**
 * The best program of one stage for a run of connectors, or null where none lies inside the limits.
 *
 * Exact: for the least worst error found so far every shot allows an interval of settings (its error rises with the
 * setting); a pair (every, add) can only do better where the intervals, each shifted by the additions made before its
 * shot, have a grid point in common, and all those grid points are tried. A second pass takes, among all programs
 * within `EQUAL_ERRORS` of the least, the largest `every`, then the smallest `add`, then the smallest error.
 *
 * Evidence: tests compare with a search through every program on the grid.
 */
export function bestStage(problem: ProgramProblem, from = 1, to = problem.shots.length): StageProgram | null {
  const lattice = new Lattice(problem);
  return stageOn(lattice, from, to);
}

/**
 * The program of fewest stages that keeps every |error| within `tolerance`, or null where no number of stages can.
 * Among programs of that many stages the switches are placed for the least worst error (to a millionth), and each
 * stage is the best of its own run.
 */
export function fewestStages(problem: ProgramProblem, tolerance: number): StageProgram | null {
  const lattice = new Lattice(problem);
  const count = problem.shots.length;
  let starts = switchShots(lattice, tolerance + EQUAL_ERRORS, count);
  if (starts === null) return null;
  let low = 0;
  let high = tolerance;
  while (starts.length > 1 && high - low > 1e-6) {
    const middle = (low + high) / 2;
    const tighter = switchShots(lattice, middle, starts.length);
    if (tighter === null) low = middle;
    else {
      starts = tighter;
      high = middle;
    }
  }
  const parts = starts.map((from, k) => stageOn(lattice, from, (starts[k + 1] ?? count + 1) - 1));
  if (parts.some(part => part === null)) return null;
  return { stages: parts.flatMap(part => part!.stages), worst: Math.max(...parts.map(part => part!.worst)) };
}

/** Allowed settings of each shot, first and last, in units of the lattice. */
interface Allowed {
  readonly low: number[];
  readonly high: number[];
}

/** Settings as whole multiples of the unit that `step` and `addStep` share, with the errors there kept once computed. */
class Lattice {
  readonly unit: number;
  /** `step` and `addStep` in units. */
  readonly step: number;
  readonly add: number;
  /** Limits in units. */
  readonly min: number;
  readonly max: number;
  readonly presses: number;
  private readonly errors: Map<number, number>[];

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
    const error = this.problem.shots[i]!.error(gridValue(k, this.unit));
    this.errors[i]!.set(k, error);
    return error;
  }

  /** First and last setting in units at which |error| of each shot from `from` to `to` is at most `limit`. */
  allowed(limit: number, from: number, to: number): Allowed {
    const low: number[] = [];
    const high: number[] = [];
    for (let i = from - 1; i < to; i++) {
      low.push(this.firstWhere(i, error => error >= -limit));
      high.push(this.firstWhere(i, error => error > limit) - 1);
    }
    return { low, high };
  }

  /** Least k inside the limits, or one past them, whose error satisfies a condition that stays true once it is. */
  private firstWhere(i: number, condition: (error: number) => boolean): number {
    const middle = Math.min(this.max, Math.max(this.min, Math.round(this.problem.shots[i]!.exact / this.unit)));
    let below = this.min - 1; // condition false, or outside
    let above = this.max + 1; // condition true, or outside
    let probe = middle;
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

/** Additions before each shot of a run that starts a stage. */
function additions(every: number, count: number, presses: number): number[] {
  return Array.from({ length: count }, (_, i) => Math.floor((i * presses + presses - 1) / every));
}

/** Range of the first setting, in steps, that all shots of a run allow; first > last where there is none. */
function firstSettings(
  lattice: Lattice,
  allowed: Allowed,
  program: { add: number; before: readonly number[] },
): { first: number; last: number } {
  let low = lattice.min;
  let high = lattice.max;
  for (let i = 0; i < program.before.length && low <= high; i++) {
    const added = program.before[i]! * program.add * lattice.add;
    low = Math.max(low, allowed.low[i]! - added);
    high = Math.min(high, allowed.high[i]! - added, lattice.max - added);
  }
  return { first: Math.ceil(low / lattice.step), last: Math.floor(high / lattice.step) };
}

interface Candidate {
  readonly first: number; // [steps]
  readonly add: number; // [add steps]
  readonly every: number;
  readonly worst: number;
}

function stageOn(lattice: Lattice, from: number, to: number): StageProgram | null {
  const count = to - from + 1;
  const start = seed(lattice, from, to);
  if (start === null) return null;
  let best = start;
  let allowed = lattice.allowed(best.worst, from, to);
  for (let every = 1; every <= count * lattice.presses; every++) {
    const before = additions(every, count, lattice.presses);
    for (let add = 0; add <= largestAdd(lattice, allowed, before); add++) {
      const better = bestFirst(lattice, allowed, { from, add, every, before });
      if (better !== null && better.worst < best.worst) {
        best = better;
        allowed = lattice.allowed(best.worst, from, to);
      }
    }
  }
  const chosen = amongEquals(lattice, best, from, to);
  const stage = {
    fromShot: from,
    first: gridValue(chosen.first, lattice.problem.step),
    add: gridValue(chosen.add, lattice.problem.addStep),
    every: chosen.every,
  };
  return { stages: [stage], worst: chosen.worst };
}

/** The preferred program within `EQUAL_ERRORS` of the least error. */
function amongEquals(lattice: Lattice, best: Candidate, from: number, to: number): Candidate {
  const allowed = lattice.allowed(best.worst + EQUAL_ERRORS, from, to);
  const count = to - from + 1;
  for (let every = count * lattice.presses; every >= 1; every--) {
    const before = additions(every, count, lattice.presses);
    for (let add = 0; add <= largestAdd(lattice, allowed, before); add++) {
      const equal = bestFirst(lattice, allowed, { from, add, every, before });
      if (equal !== null && equal.worst <= best.worst + EQUAL_ERRORS) return equal;
    }
  }
  return best;
}

/** The largest addition [add steps] that can still meet the intervals of the first and the last shot. */
function largestAdd(lattice: Lattice, allowed: Allowed, before: readonly number[]): number {
  const last = before.length - 1;
  const span = before[last]! - before[0]!;
  if (span === 0) return before[last]! === 0 ? 0 : largestFromFirst(lattice, allowed, before[0]!);
  return Math.floor((allowed.high[last]! - allowed.low[0]!) / (span * lattice.add));
}

/** With every shot behind the same number of additions, only the limits of the station bound the addition. */
function largestFromFirst(lattice: Lattice, allowed: Allowed, additionsMade: number): number {
  return Math.floor((allowed.high[0]! - lattice.min) / (additionsMade * lattice.add));
}

/** The best first setting for (every, add) among those that the intervals allow, or null. */
function bestFirst(
  lattice: Lattice,
  allowed: Allowed,
  program: { from: number; add: number; every: number; before: readonly number[] },
): Candidate | null {
  const { first, last } = firstSettings(lattice, allowed, program);
  let best: Candidate | null = null;
  for (let steps = first; steps <= last; steps++) {
    const worst = worstError(lattice, program, steps);
    if (best === null || worst < best.worst) best = { first: steps, add: program.add, every: program.every, worst };
  }
  return best;
}

function worstError(
  lattice: Lattice,
  program: { from: number; add: number; before: readonly number[] },
  steps: number,
): number {
  let worst = 0;
  for (let i = 0; i < program.before.length; i++) {
    const units = steps * lattice.step + program.before[i]! * program.add * lattice.add;
    worst = Math.max(worst, Math.abs(lattice.error(program.from - 1 + i, units)));
  }
  return worst;
}

/** A good program to start from: constant, and the slope between the first and the last shot for a few additions. */
function seed(lattice: Lattice, from: number, to: number): Candidate | null {
  const { shots } = lattice.problem;
  const firstExact = shots[from - 1]!.exact;
  const growth = (shots[to - 1]!.exact - firstExact) / (lattice.add * lattice.unit);
  const presses = (to - from + 1) * lattice.presses;
  const steps = gridRange({ min: lattice.min, max: lattice.max, step: lattice.step });
  if (steps.first > steps.last) return null;
  let best: Candidate | null = null;
  for (const add of [0, 1, 2, 3]) {
    const every = add === 0 ? presses : Math.min(presses, Math.max(1, Math.round((add * presses) / growth) || 1));
    const before = additions(every, to - from + 1, lattice.presses);
    const highest = Math.floor((lattice.max - before[before.length - 1]! * add * lattice.add) / lattice.step);
    const middle = add === 0 ? (firstExact + shots[to - 1]!.exact) / 2 : firstExact;
    const centre = Math.round(middle / (lattice.step * lattice.unit));
    for (const offset of [-1, 0, 1]) {
      const first = Math.min(Math.min(steps.last, highest), Math.max(steps.first, centre + offset));
      if (first < steps.first) continue;
      const worst = worstError(lattice, { from, add, before }, first);
      if (best === null || worst < best.worst) best = { first, add, every, worst };
    }
  }
  return best;
}

/**
 * First connectors of the stages of a program that keeps every |error| at most `limit`, in the fewest stages, or null
 * where more than `most` would be needed. A run that a stage can serve can be served up to any earlier end as well, so
 * the furthest end from every start that k stages can reach gives the furthest end of k + 1.
 */
function switchShots(lattice: Lattice, limit: number, most: number): number[] | null {
  const count = lattice.problem.shots.length;
  const allowed = lattice.allowed(limit, 1, count);
  const cameFrom: number[] = []; // for each connector: the start of the stage that first reached the one before it
  let reached = 0;
  let starts: number[] = [1];
  for (let stages = 1; stages <= most; stages++) {
    let furthest = reached;
    for (const start of starts) {
      const end = furthestEnd(lattice, allowed, start, furthest);
      for (let next = furthest + 1; next <= end; next++) cameFrom[next + 1] = start;
      furthest = Math.max(furthest, end);
    }
    if (furthest >= count) return chain(cameFrom, count + 1);
    if (furthest === reached) return null;
    starts = Array.from({ length: furthest - reached }, (_, k) => furthest + 1 - k);
    reached = furthest;
  }
  return null;
}

function chain(cameFrom: readonly number[], end: number): number[] {
  const starts: number[] = [];
  for (let at = cameFrom[end]!; ; at = cameFrom[at]!) {
    starts.unshift(at);
    if (at === 1) return starts;
  }
}

/** The last connector that one stage from `start` can reach inside the allowed settings; `known` when not beyond it. */
function furthestEnd(lattice: Lattice, allowed: Allowed, start: number, known: number): number {
  const count = allowed.low.length;
  let furthest = Math.max(known, start - 1);
  const widest = Math.max(...allowed.high.slice(start - 1)) - Math.min(...allowed.low.slice(start - 1));
  for (let every = 1; every <= (count - start + 1) * lattice.presses; every++) {
    const target = furthest + 1; // to be of use the stage must reach this connector
    if (target > count) break;
    const atStart = Math.floor((lattice.presses - 1) / every);
    const atTarget = Math.floor(((target - start) * lattice.presses + lattice.presses - 1) / every);
    const most = Math.floor(widest / (Math.max(1, atTarget - atStart) * lattice.add));
    for (let add = 0; add <= Math.max(0, most); add++) {
      furthest = Math.max(furthest, runEnd(lattice, allowed, { start, every, add }));
    }
  }
  return furthest;
}

function runEnd(lattice: Lattice, allowed: Allowed, stage: { start: number; every: number; add: number }): number {
  const presses = lattice.presses;
  let low = lattice.min;
  let high = lattice.max;
  for (let i = stage.start; i <= allowed.low.length; i++) {
    const before = Math.floor(((i - stage.start) * presses + presses - 1) / stage.every);
    const added = before * stage.add * lattice.add;
    low = Math.max(low, allowed.low[i - 1]! - added);
    high = Math.min(high, allowed.high[i - 1]! - added, lattice.max - added);
    if (Math.ceil(low / lattice.step) > Math.floor(high / lattice.step)) return i - 1;
  }
  return allowed.low.length;
}
