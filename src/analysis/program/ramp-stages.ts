import { type Allowed, addRange, Lattice, type ProgramProblem } from './ramp-lattice.ts';
import { EQUAL_ERRORS, type StageProgram, stageOn } from './ramp-program.ts';

/** The switches are placed to this share of the tolerance; finer is not worth the search. */
const FINEST = 1e-3;

/**
 * The program of fewest stages that keeps every |error| within `tolerance`, or null where no number of stages can.
 * Among programs of that many stages the switches are placed for the least worst error (to a thousandth of the
 * tolerance), and each
 * stage is the best of its own run.
 */
export function fewestStages(problem: ProgramProblem, tolerance: number): StageProgram | null {
  const lattice = new Lattice(problem);
  const count = problem.shots.length;
  let starts = switchShots(lattice, tolerance + EQUAL_ERRORS, count);
  if (starts === null) return null;
  let low = 0;
  let high = tolerance;
  while (starts.length > 1 && high - low > tolerance * FINEST) {
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
  const { presses } = lattice;
  let furthest = Math.max(known, start - 1);
  for (let every = 1; every <= (count - start + 1) * presses && furthest < count; every++) {
    // To be of use the stage must reach the next connector; and as long as nothing has been added the addition does not
    // matter, so that only those count which reach the first connector with one.
    const firstAdded = start + Math.ceil((every - presses + 1) / presses);
    const target = Math.min(count, Math.max(furthest + 1, firstAdded));
    if (target > furthest + 1) furthest = Math.max(furthest, runEnd(lattice, allowed, { start, every, add: 0 }));
    const { least, most } = addRange(lattice, allowed, { every, from: start - 1, to: target - 1 });
    for (let add = least; add <= most; add++) {
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
