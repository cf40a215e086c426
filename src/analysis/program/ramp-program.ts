import { gridRange, gridValue } from '../../numeric/setting-grid.ts';
import type { ProgramStage } from '../program/program-stages.ts';
import { type Allowed, additions, addRange, firstSettings, Lattice, type ProgramProblem } from './ramp-lattice.ts';

export interface StageProgram {
  readonly stages: readonly ProgramStage[];
  /** Largest |relative volume error| over all shots. */
  readonly worst: number;
}

/** Errors closer than this are equal; then the larger `every` and the smaller `add` win. */
export const EQUAL_ERRORS = 1e-9;

/**
 * The best program of one stage for a run of connectors, or null where none lies inside the limits.
 *
 * Exact: for the least worst error found so far every shot allows an interval of settings (its error rises with the
 * setting); a pair (every, add) can only do better where the intervals, each shifted by the additions made before its
 * shot, have a grid point in common, and of those the best is found. A last pass takes, among all programs within
 * `EQUAL_ERRORS` of the least, the largest `every`, then the smallest `add`, then the smallest error.
 *
 * Evidence: tests compare with a search through every program on the grid.
 */
export function bestStage(problem: ProgramProblem, from = 1, to = problem.shots.length): StageProgram | null {
  const lattice = new Lattice(problem);
  return stageOn(lattice, from, to);
}

interface Candidate {
  readonly first: number; // [steps]
  readonly add: number; // [add steps]
  readonly every: number;
  readonly worst: number;
}

/** {@link bestStage} on a lattice that keeps the errors already computed. */
export function stageOn(lattice: Lattice, from: number, to: number): StageProgram | null {
  const start = seed(lattice, from, to);
  if (start === null) return null;
  const bound = leastPossible(lattice, from, to);
  let best = nearlyBest(lattice, { from, to, start, bound });
  let allowed = lattice.allowed(best.worst, from, to);
  for (const { every, add } of programs(lattice, () => allowed, 'rising')) {
    if (best.worst <= bound) break;
    const better = bestFirst(lattice, allowed, { from, add, every });
    if (better !== null && better.worst < best.worst) {
      best = better;
      allowed = lattice.allowed(best.worst, from, to);
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

/** All (every, add) that the intervals leave to try; the intervals may shrink on the way. */
function* programs(lattice: Lattice, allowed: () => Allowed, order: 'rising' | 'falling') {
  const count = allowed().low.length;
  const most = count * lattice.presses;
  for (let k = 1; k <= most; k++) {
    const every = order === 'rising' ? k : most + 1 - k;
    const range = addRange(lattice, allowed(), { every, from: 0, to: count - 1 });
    for (let add = range.least; add <= range.most; add++) yield { every, add };
  }
}

/** Halving the gap to the bound stops here; the exact search does the rest. */
const NEAR = 1e-4;

/** A program whose error is within `NEAR` of the least, by halving what lies between it and what is impossible. */
function nearlyBest(lattice: Lattice, p: { from: number; to: number; start: Candidate; bound: number }): Candidate {
  let best = p.start;
  let impossible = p.bound;
  while (best.worst - impossible > NEAR) {
    const middle = (best.worst + impossible) / 2;
    const better = anyWithin(lattice, lattice.allowed(middle, p.from, p.to), p.from);
    if (better === null || better.worst >= best.worst) impossible = middle;
    else best = better;
  }
  return best;
}

function anyWithin(lattice: Lattice, allowed: Allowed, from: number): Candidate | null {
  for (const { every, add } of programs(lattice, () => allowed, 'rising')) {
    const found = bestFirst(lattice, allowed, { from, add, every });
    if (found !== null) return found;
  }
  return null;
}

/** What no program can undercut: the largest of the shots' own least errors on the grid. */
function leastPossible(lattice: Lattice, from: number, to: number): number {
  let bound = 0;
  for (let i = from - 1; i < to; i++) {
    const steps = lattice.problem.shots[i]!.exact / lattice.unit;
    const [below, above] = [Math.floor(steps), Math.floor(steps) + 1].map(k =>
      Math.abs(lattice.error(i, Math.min(lattice.max, Math.max(lattice.min, k)))),
    );
    bound = Math.max(bound, Math.min(below!, above!));
  }
  return bound;
}

/** The preferred program within `EQUAL_ERRORS` of the least error. */
function amongEquals(lattice: Lattice, best: Candidate, from: number, to: number): Candidate {
  const allowed = lattice.allowed(best.worst + EQUAL_ERRORS, from, to);
  for (const { every, add } of programs(lattice, () => allowed, 'falling')) {
    const equal = bestFirst(lattice, allowed, { from, add, every });
    if (equal !== null && equal.worst <= best.worst + EQUAL_ERRORS) return equal;
  }
  return best;
}

/**
 * The best first setting for (every, add) among those that the intervals allow, or null. The largest error rises with it
 * and the smallest too, so the best stands where the two change places as the worse one.
 */
function bestFirst(
  lattice: Lattice,
  allowed: Allowed,
  program: { from: number; add: number; every: number },
): Candidate | null {
  const { first, last } = firstSettings(lattice, allowed, program);
  if (first > last) return null;
  const run = { ...program, count: allowed.low.length };
  let low = first;
  let high = last; // the least step at which too much is worse than too little, or the last
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    const { over, under } = extremes(lattice, run, middle);
    if (over >= under) high = middle;
    else low = middle + 1;
  }
  const at = (steps: number): Candidate => {
    const { over, under } = extremes(lattice, run, steps);
    return { first: steps, add: program.add, every: program.every, worst: Math.max(over, under) };
  };
  const above = at(high);
  if (high === first) return above;
  const below = at(high - 1);
  return below.worst <= above.worst ? below : above;
}

/** Largest relative error too much and too little of a program whose first setting is so many steps. */
function extremes(
  lattice: Lattice,
  program: { from: number; count: number; add: number; every: number },
  steps: number,
): { over: number; under: number } {
  let over = Number.NEGATIVE_INFINITY;
  let under = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < program.count; i++) {
    const units = steps * lattice.step + additions(lattice, program.every, i) * program.add * lattice.add;
    const error = lattice.error(program.from - 1 + i, units);
    over = Math.max(over, error);
    under = Math.max(under, -error);
  }
  return { over, under };
}

/** A program to start from: no addition, at the setting midway between the first and the last shot. */
function seed(lattice: Lattice, from: number, to: number): Candidate | null {
  const { shots } = lattice.problem;
  const steps = gridRange({ min: lattice.min, max: lattice.max, step: lattice.step });
  if (steps.first > steps.last) return null;
  const middle = (shots[from - 1]!.exact + shots[to - 1]!.exact) / 2 / (lattice.step * lattice.unit);
  const first = Math.min(steps.last, Math.max(steps.first, Math.round(middle)));
  const count = to - from + 1;
  const every = count * lattice.presses;
  const { over, under } = extremes(lattice, { from, count, add: 0, every }, first);
  return { first, add: 0, every, worst: Math.max(over, under) };
}
