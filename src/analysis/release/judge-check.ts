import type { Recipe } from '../../recipe/schema/recipe.ts';
import { rampPlan } from '../program/ramp-shots.ts';
import { settingAt } from '../setpoint/program-in-force.ts';
import { holds, type JudgedTrim, type Judgement, judge, TRIM_LIMIT } from './release-decision.ts';
import { readingsToSettle } from './release-evidence.ts';
import { releaseFaults } from './release-faults.ts';
import { scaledProgram, type TrimmedProgram, trimmedProgram } from './release-trim.ts';
import { type JudgedRun, judgedRun, type ShotLeft, type Thickness } from './shots-left.ts';
import type { SyringeCheck } from './syringe-check.ts';

/** What was made of a check; SI. */
export interface JudgedCheck extends Judgement {
  /** Null where nothing in the recipe's reach gives what was measured. */
  readonly thickness: Thickness | null;
  readonly trimLimit: number;
  /** The trimmed program and its run, for the decision to use it. */
  readonly trim: (TrimmedProgram & { readonly run: JudgedRun }) | null;
  readonly moreReadings: number | null;
}

/** A trim may correct so many standard deviations of what it is there to take out: 99 % of syringes [-]. */
const TRIM_SPREAD = 2.6;

/** Judges a check by every shot left; null where no thickness gives what was measured, and nothing else speaks against it. */
export function judgeCheck(check: SyringeCheck): JudgedCheck | null {
  const { recipe, from, perConnector, temperature, scatter, evidence, target } = check;
  const faults = releaseFaults(recipe, { from, perConnector, temperature, scatter });
  const trimLimit = check.trimLimit ?? Math.max(TRIM_LIMIT, TRIM_SPREAD * check.spread.trimmed);
  const thickness = thicknessAt(check, evidence.halfWidth / evidence.mean);
  if (faults.length > 0) {
    return {
      ...{ decision: 'reject', reasons: faults, undecided: false },
      thickness,
      trimLimit,
      trim: null,
      moreReadings: null,
    };
  }
  if (thickness === null) return null;
  const left = shotsLeft(check);
  const forceAt = (thick: Thickness) =>
    judgedRun(check.model, left.shots, { thickness: thick, settingAt: shot => settingAt(check.program, shot) });
  const made = memo(() => trimOf(check, left, thickness.estimate));
  const trimAt = (thick: Thickness): JudgedTrim | null => {
    const trim = made();
    if (trim === null) return null;
    const { program, factor, shots } = trim;
    const run = judgedRun(check.model, shots, { thickness: thick, settingAt: shot => settingAt(program, shot) });
    const before = settingAt(check.program, from.shot).dwell;
    return { run, factor, before, dwell: settingAt(program, from.shot).dwell };
  };
  const judgement = judge({ faults, force: forceAt(thickness), trim: () => trimAt(thickness), trimLimit, target });
  const settles = (relative: number) => {
    const thick = thicknessAt(check, relative);
    if (thick === null) return false;
    const trim = trimAt(thick);
    const byTrim = trim !== null && Math.abs(trim.factor - 1) <= trimLimit && holds(trim.run, target);
    return byTrim || holds(forceAt(thick), target);
  };
  const used = judgement.decision === 'use with trim' ? made() : null;
  return {
    ...{ ...judgement, thickness, trimLimit },
    trim: used === null ? null : { ...used, run: trimAt(thickness)!.run },
    moreReadings: judgement.undecided ? readingsToSettle(evidence, settles) : null,
  };
}

/** The thickness of the mean and of the ends of an interval of so much to either side [-]. */
function thicknessAt({ model, evidence, moment, setting }: SyringeCheck, relative: number): Thickness | null {
  const of = (volume: number) => (volume > 0 ? model.thicknessOf(volume, moment, setting) : null);
  const estimate = of(evidence.mean);
  const low = of(evidence.mean * (1 + relative));
  if (estimate === null || low === null) return null;
  return { estimate, low, high: of(evidence.mean * (1 - relative)) ?? Number.POSITIVE_INFINITY };
}

interface ShotsLeft {
  readonly shots: readonly ShotLeft[];
  /** A run could be planned; else the check's shot stands for it. */
  readonly planned: boolean;
}

/** Every shot left, that of the check included: until the recipe ends the run. */
function shotsLeft({ recipe, model, program, from, moment, temperature }: SyringeCheck): ShotsLeft {
  const conditions = { from, ...(temperature !== undefined && { temperature }) };
  const plan = model.flows ? rampPlan(recipe, { by: 'dwell', fixed: program.pressure, ...conditions }).result : null;
  if (plan === null) return { shots: [{ shot: from.shot, ...moment }], planned: false };
  return {
    shots: plan.shots.map(({ shot, age, point }) => ({ shot, age, dispensed: point.dispensed })),
    planned: true,
  };
}

function trimOf(check: SyringeCheck, { shots, planned }: ShotsLeft, estimate: number): TrimmedProgram | null {
  const { recipe, program: before, from, temperature, model, target } = check;
  if (planned) {
    const lotFactor = lotFactorOf(recipe) * estimate;
    return trimmedProgram(recipe, { before, lotFactor, temperature, from }).result;
  }
  const shot = shots[0]!;
  const dwell = model.dwellFor(estimate, shot, { pressure: before.pressure, volume: target.aim });
  const factor = dwell === null ? null : dwell / settingAt(before, shot.shot).dwell;
  return factor === null ? null : scaledProgram(recipe, { before, shot, factor });
}

function lotFactorOf({ resin }: Recipe): number {
  return resin?.lot_factor.value ?? 1;
}

/** Works something out when it is first wanted, and keeps it. */
function memo<T>(make: () => T): () => T {
  let kept: { readonly value: T } | null = null;
  return () => {
    kept ??= { value: make() };
    return kept.value;
  };
}
