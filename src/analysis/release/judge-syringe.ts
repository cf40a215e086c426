import { counted, shortened } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { rampPlan } from '../program/ramp-shots.ts';
import { settingAt } from '../setpoint/program-in-force.ts';
import { type FilteredThickness, filteredThickness, judgedThickness } from './filtered-thickness.ts';
import type { SyringeCheck } from './measured-syringe.ts';
import { holds, type JudgedTrim, type Judgement, judge, type Reason, reason, TRIM_LIMIT } from './release-decision.ts';
import { readingsToSettle } from './release-evidence.ts';
import { scatterFault, stopFault, temperatureFault } from './release-faults.ts';
import { scaledProgram, type TrimmedProgram, trimmedProgram } from './release-trim.ts';
import { type JudgedRun, judgedRun, type ShotLeft, type Thickness } from './shots-left.ts';

/** What was made of a check; SI. */
export interface JudgedCheck extends Judgement {
  /** Null where nothing in the recipe's reach gives what was measured. */
  readonly thickness: Thickness | null;
  /** With the checks before; null where there are none, or where a fault speaks against this one. */
  readonly filtered: FilteredThickness | null;
  readonly trimLimit: number;
  /** The trimmed program and its run, for the decision to use it. */
  readonly trim: (TrimmedProgram & { readonly run: JudgedRun }) | null;
  /** Readings like these that would settle it; null where it is settled, or where none would. */
  readonly moreReadings: () => number | null;
}

/** What lies before a checked syringe, whatever its readings say: worked out once where many checks are alike. */
export interface RunAhead {
  /** What ends the run before the check's shot. */
  readonly stop: readonly Reason[];
  /** Every shot left, that of the check included; the check's shot alone where no run can be planned. */
  readonly shots: readonly ShotLeft[];
  /** The trimmed program of a syringe so thick; null where there is none. */
  readonly trimmed: (thickness: number) => TrimmedProgram | null;
}

/** A trim may correct so many standard deviations of what it is there to take out: 99 % of syringes [-]. */
const TRIM_SPREAD = 2.6;

/** Judges a check by every shot left; null where no thickness gives what was measured, and nothing else speaks against it. */
export function judgeCheck(check: SyringeCheck, ahead: RunAhead = runAhead(check)): JudgedCheck | null {
  const { recipe, from, temperature, scatter, evidence, target } = check;
  const faults = [...ahead.stop, ...temperatureFault(recipe, { from, temperature }), ...scatterFault(scatter)];
  const trimLimit = check.trimLimit ?? Math.max(TRIM_LIMIT, TRIM_SPREAD * check.spread.trimmed);
  const relative = evidence.halfWidth / evidence.mean;
  const thickness = thicknessAt(check, relative);
  if (faults.length > 0) {
    return {
      ...{ decision: 'reject', reasons: faults, undecided: false },
      thickness,
      filtered: null,
      trimLimit,
      trim: null,
      moreReadings: () => null,
    };
  }
  if (thickness === null) return null;
  const filtered = filteredThickness(check, relative);
  const judged = judgedThickness(thickness, filtered);
  const forceAt = (thick: Thickness) =>
    judgedRun(check.model, ahead.shots, { thickness: thick, program: check.program });
  const made = memo(() => ahead.trimmed(judged.estimate));
  const trimAt = (thick: Thickness): JudgedTrim | null => {
    const trim = made();
    if (trim === null) return null;
    const { program, factor, shots } = trim;
    const run = judgedRun(check.model, shots, { thickness: thick, program });
    const before = settingAt(check.program, from.shot).dwell;
    return { run, factor, before, dwell: settingAt(program, from.shot).dwell };
  };
  const judgement = judge({ faults, force: forceAt(judged), trim: () => trimAt(judged), trimLimit, target });
  const settles = (narrower: number) => {
    const own = thicknessAt(check, narrower);
    if (own === null) return false;
    const thick = judgedThickness(own, filteredThickness(check, narrower));
    const trim = trimAt(thick);
    const byTrim = trim !== null && Math.abs(trim.factor - 1) <= trimLimit && holds(trim.run, target);
    return byTrim || holds(forceAt(thick), target);
  };
  const used = judgement.decision === 'use with trim' ? made() : null;
  return {
    ...{ ...judgement, thickness, filtered, trimLimit },
    reasons: [...judgement.reasons, ...earlierReason(thickness, filtered)],
    trim: used === null ? null : { ...used, run: trimAt(judged)!.run },
    moreReadings: memo(() => (judgement.undecided ? readingsToSettle(evidence, settles) : null)),
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

function earlierReason(own: Thickness, filtered: FilteredThickness | null): Reason[] {
  if (filtered === null) return [];
  const times = (thick: Thickness) =>
    `${shortened(thick.estimate, 3)} (${shortened(thick.low, 3)} to ${Number.isFinite(thick.high) ? shortened(thick.high, 3) : 'more'})`;
  const text = `by this check alone the syringe is ${times(own)} times as thick as the recipe, with ${counted(filtered.checks, 'check')} before of its lot or needle ${times(filtered)}; the latter sets the dwell, and the window is kept by both`;
  return [reason('earlier', text)];
}

/** The run that the recipe plans from the check on. */
export function runAhead(check: SyringeCheck): RunAhead {
  const { recipe, model, program, from, moment, temperature } = check;
  const stop = stopFault(recipe, check);
  const conditions = { from, ...(temperature !== undefined && { temperature }) };
  const planned = memo(() =>
    model.flows ? rampPlan(recipe, { by: 'dwell', fixed: program.pressure, ...conditions }).result : null,
  );
  const shots = memo((): readonly ShotLeft[] => {
    const plan = planned();
    if (plan === null) return [{ shot: from.shot, ...moment }];
    return plan.shots.map(({ shot, age, point }) => ({ shot, age, dispensed: point.dispensed }));
  });
  return {
    stop,
    get shots() {
      return shots();
    },
    trimmed: thickness => (planned() === null ? scaledTrim(check, thickness) : plannedTrim(check, thickness)),
  };
}

function plannedTrim({ recipe, program: before, from, temperature }: SyringeCheck, thickness: number) {
  const lotFactor = lotFactorOf(recipe) * thickness;
  return trimmedProgram(recipe, { before, lotFactor, temperature, from }).result;
}

/** Where no run can be planned the check's shot stands for it. */
function scaledTrim(check: SyringeCheck, thickness: number): TrimmedProgram | null {
  const { recipe, program: before, from, moment, model, target } = check;
  const shot = { shot: from.shot, ...moment };
  const dwell = model.dwellFor(thickness, shot, { pressure: before.pressure, volume: target.aim });
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
