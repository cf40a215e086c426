import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ProgramStage, programSetting } from '../../../src/analysis/program/program-stages.ts';
import type { ProgramProblem } from '../../../src/analysis/program/ramp-lattice.ts';
import { bestStage, EQUAL_ERRORS } from '../../../src/analysis/program/ramp-program.ts';
import { fewestStages } from '../../../src/analysis/program/ramp-stages.ts';

/** Shots whose volume grows in proportion to the dwell, as with ideal air: error = dwell/exact − 1. */
function linear(exact: readonly number[], rest: Partial<ProgramProblem> = {}): ProgramProblem {
  return {
    shots: exact.map(x => ({ exact: x, error: setting => setting / x - 1 })),
    pressesPerShot: 1,
    step: 0.01,
    addStep: 0.01,
    min: 0.05,
    max: 99,
    ...rest,
  };
}

/** Dwells in hundredths are summed as integers here, independent of the grid code under test. */
function worstOf(problem: ProgramProblem, first: number, add: number, every: number, from: number, to: number): number {
  let worst = 0;
  for (let shot = from; shot <= to; shot++) {
    const press = (shot - from + 1) * problem.pressesPerShot; // 1-based press of the stage
    const dwell = (first + add * Math.floor((press - 1) / every)) / 1000;
    if (dwell > problem.max * (1 + 1e-9)) return Number.POSITIVE_INFINITY;
    worst = Math.max(worst, Math.abs(problem.shots[shot - 1]!.error(dwell)));
  }
  return worst;
}

/** Every program on the grid, in thousandths of a second. */
function exhaustive(problem: ProgramProblem, from = 1, to = problem.shots.length) {
  const step = Math.round(problem.step * 1000);
  const addStep = Math.round(problem.addStep * 1000);
  const largest = Math.ceil(Math.max(...problem.shots.map(s => s.exact)) * 1000 * 1.5);
  const all: { first: number; add: number; every: number; worst: number }[] = [];
  for (let every = 1; every <= (to - from + 1) * problem.pressesPerShot; every++) {
    for (let add = 0; add <= largest; add += addStep) {
      for (let first = Math.ceil((problem.min * 1000) / step - 1e-9) * step; first <= largest; first += step) {
        all.push({ first, add, every, worst: worstOf(problem, first, add, every, from, to) });
      }
    }
  }
  const least = Math.min(...all.map(a => a.worst));
  const equal = all.filter(a => a.worst <= least + EQUAL_ERRORS);
  equal.sort((a, b) => b.every - a.every || a.add - b.add || a.worst - b.worst);
  return { least, preferred: equal[0]! };
}

describe('the best program of one stage', () => {
  it('keeps one setting when nothing thickens, as the largest `every` with nothing added', () => {
    const best = bestStage(linear([0.5, 0.5, 0.5, 0.5]))!;
    expect(best.stages).toEqual([{ fromShot: 1, first: 0.5, add: 0, every: 4 }]);
    expect(best.worst).toBe(0);
  });

  it('finds a staircase that fits exactly', () => {
    // 0.50 0.50 0.52 0.52 0.54 0.54: two presses at each level, 0.02 s more each time
    const best = bestStage(linear([0.5, 0.5, 0.52, 0.52, 0.54, 0.54]))!;
    expect(best.stages).toEqual([{ fromShot: 1, first: 0.5, add: 0.02, every: 2 }]);
    expect(best.worst).toBeLessThan(1e-12);
  });

  it('is the optimum of a search through every program, whatever the run', () => {
    const run = fc.array(fc.integer({ min: 60, max: 150 }), { minLength: 1, maxLength: 7 });
    fc.assert(
      fc.property(run, fc.constantFrom(1, 2), fc.constantFrom(0.01, 0.005, 0.02), (values, pressesPerShot, addStep) => {
        const problem = linear(
          values.map(v => v / 1000),
          { pressesPerShot, addStep, max: 0.16 },
        );
        const best = bestStage(problem)!;
        const reference = exhaustive(problem);
        const [stage] = best.stages;
        expect(best.worst).toBeLessThanOrEqual(reference.least + EQUAL_ERRORS);
        expect(best.worst).toBeGreaterThanOrEqual(reference.least - 1e-12);
        expect([stage!.every, stage!.add]).toEqual([reference.preferred.every, reference.preferred.add / 1000]);
      }),
      { numRuns: 150, seed: 20261125 },
    );
  });

  it('is the optimum for growing dwells too, where it matters', () => {
    fc.assert(
      fc.property(fc.integer({ min: 3, max: 12 }), fc.double({ min: 0.001, max: 0.2, noNaN: true }), (count, rate) => {
        const problem = linear(Array.from({ length: count }, (_, i) => 0.2 * Math.exp(rate * i)));
        const best = bestStage(problem)!;
        const reference = exhaustive(problem);
        expect(best.worst).toBeLessThanOrEqual(reference.least + EQUAL_ERRORS);
        expect([best.stages[0]!.every, best.stages[0]!.add]).toEqual([
          reference.preferred.every,
          reference.preferred.add / 1000,
        ]);
      }),
      { numRuns: 15, seed: 20261125 },
    );
  });

  it('is the optimum where volume is not proportional to dwell', () => {
    // volume (dwell − 0.03)^1.2: no closed form for the allowed interval
    const exact = Array.from({ length: 8 }, (_, i) => 0.1 * 1.06 ** i);
    const shots = exact.map(x => ({
      exact: x,
      error: (d: number) => (d <= 0.03 ? -1 : ((d - 0.03) / (x - 0.03)) ** 1.2 - 1),
    }));
    const problem = { ...linear(exact), shots };
    const reference = exhaustive(problem);
    const best = bestStage(problem)!;
    expect(best.worst).toBeCloseTo(reference.least, 12);
    expect(best.stages[0]!.every).toBe(reference.preferred.every);
  });

  it('stays inside the limits of the station', () => {
    const best = bestStage(linear([0.1, 0.2, 0.3], { max: 0.2 }))!;
    for (const shot of [1, 2, 3]) expect(programSetting(best.stages, shot, 1)).toBeLessThanOrEqual(0.2);
    expect(best.worst).toBeCloseTo(0.1 / 0.3, 12); // the third can have 0.2 s of the 0.3 s it needs
  });

  it('is null where no setting lies inside the limits', () => {
    expect(bestStage(linear([0.1], { min: 0.101, max: 0.109 }))).toBeNull();
  });
});

/** Fewest stages by trying every set of switches, each run searched in full. */
function fewestByTrying(problem: ProgramProblem, tolerance: number): number | null {
  const count = problem.shots.length;
  const least = new Map<string, number>();
  for (let from = 1; from <= count; from++) {
    for (let to = from; to <= count; to++) least.set(`${from}-${to}`, exhaustive(problem, from, to).least);
  }
  const stages: (number | null)[] = [0];
  for (let to = 1; to <= count; to++) {
    let best: number | null = null;
    for (let from = 1; from <= to; from++) {
      const before = stages[from - 1];
      if (before == null || least.get(`${from}-${to}`)! > tolerance + EQUAL_ERRORS) continue;
      if (best === null || before + 1 < best) best = before + 1;
    }
    stages.push(best);
  }
  return stages[count] ?? null;
}

describe('the fewest stages that keep a tolerance', () => {
  it('are as few as trying every set of switches finds, and each shot keeps the tolerance', () => {
    const growing = (count: number, rate: number, pressesPerShot: number) =>
      linear(
        Array.from({ length: count }, (_, i) => 0.06 * Math.exp(rate * i * i)),
        { max: 0.5, addStep: 0.01, pressesPerShot },
      );
    for (const [count, rate, tolerance, presses] of [
      [7, 0.03, 0.05, 1],
      [7, 0.03, 0.08, 1],
      [6, 0.05, 0.06, 1],
      [8, 0.02, 0.04, 1],
      [6, 0.03, 0.06, 2],
      [7, 0.02, 0.08, 2],
    ] as const) {
      const problem = growing(count, rate, presses);
      const program = fewestStages(problem, tolerance);
      expect(program?.stages.length ?? null).toBe(fewestByTrying(problem, tolerance));
      if (program === null) continue;
      const errors = problem.shots.map((s, i) => Math.abs(s.error(programSetting(program.stages, i + 1, presses))));
      expect(Math.max(...errors)).toBeCloseTo(program.worst, 12);
      expect(program.worst).toBeLessThanOrEqual(tolerance + EQUAL_ERRORS);
    }
  });

  it('are null where one shot alone cannot be met on the grid', () => {
    expect(fewestStages(linear([0.055], { step: 0.05 }), 0.01)).toBeNull();
  });

  it('switches where the growth changes', () => {
    // flat for five shots, then 0.05 s a shot: one staircase cannot follow both
    const problem = linear([0.5, 0.5, 0.5, 0.5, 0.5, 0.55, 0.6, 0.65, 0.7]);
    const program = fewestStages(problem, 0.005)!;
    expect(program.stages.map((s: ProgramStage) => s.fromShot)).toHaveLength(2);
    expect(program.worst).toBeLessThan(1e-9);
  });
});

describe('the setting that a program gives', () => {
  it('adds after every so many presses, counted from the start of its stage', () => {
    const stages = [
      { fromShot: 1, first: 0.5, add: 0.02, every: 4 },
      { fromShot: 9, first: 0.6, add: 0.01, every: 1 },
    ];
    expect([1, 4, 5, 8, 9, 10].map(shot => programSetting(stages, shot, 1))).toEqual([0.5, 0.5, 0.52, 0.52, 0.6, 0.61]);
  });

  it('counts both presses of a connector when the bore shot is made by dwell', () => {
    // connector i uses presses 2i − 1 and 2i; the first two connectors are presses 2 and 4: nothing added up to press 4
    const stages = [{ fromShot: 1, first: 0.5, add: 0.02, every: 4 }];
    expect([1, 2, 3, 4, 5].map(shot => programSetting(stages, shot, 2))).toEqual([0.5, 0.5, 0.52, 0.52, 0.54]);
  });
});
