import type { Finding } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import {
  noParts,
  type PartsKnown,
  type PartsReading,
  type PartsUpdate,
  sumOfParts,
  updateParts,
  withNewPart,
  withWander,
} from '../../stats/part-filter.ts';
import { type EarlierChecks, thicknessOf, thicknessReading } from '../release/filtered-thickness.ts';
import { type ReleaseOptions, type SyringeCheck, syringeCheck } from '../release/measured-syringe.ts';
import type { Reason } from '../release/release-decision.ts';
import { scatterFault, stopFault, temperatureFault } from '../release/release-faults.ts';
import type { ReleaseSpread } from '../release/release-spread.ts';
import type { Thickness } from '../release/shots-left.ts';
import { type ChangedPart, changedParts, type LoggedCheck } from './logged-release.ts';

/** What a check made of what was known before it. */
export interface CourseStep {
  readonly logged: LoggedCheck;
  readonly check: SyringeCheck;
  readonly changed: readonly ChangedPart[];
  /** What the checks before lead to expect of this one. */
  readonly earlier: EarlierChecks;
  /** Why the check tells nothing of the thickness; empty where it does. */
  readonly faults: readonly Reason[];
  /** By this check alone; null where no thickness gives what was measured. */
  readonly thickness: number | null;
  readonly gain: number;
  readonly filtered: Thickness;
  /** Reading less what was expected, in standard deviations. */
  readonly surprise: number;
}

/** Parts of ln(thickness), in their place. */
const PLACE = { lot: 0, needle: 1, syringe: 2, drift: 3 } as const;

/** Wandering where the recipe does not say: standard deviation of ln(thickness) in an hour [-]; *our choice, no source*. */
export const DRIFT = 0.01;

/** Part of the lot where the recipe has no tolerance on anything that a check can find: nothing is known, a reading is taken as it is. */
const UNKNOWN = 1;

const HOUR = 3600;

/** How far ln(thickness) wanders in the square root of an hour [-]. */
export function driftOf({ process }: Recipe): number {
  return process?.drift?.value ?? DRIFT;
}

/** What a check is of, and when it was made [s]. */
export type CheckMark = Pick<LoggedCheck, ChangedPart | 'time'>;

/** What is known after some checks, and how many sound ones there were since each part is the one that it is. */
export interface Course {
  readonly known: PartsKnown;
  readonly sinceLot: number;
  readonly sinceNeedle: number;
  readonly before: CheckMark | null;
}

/** Before any check. */
export const COURSE_START: Course = { known: noParts(4), sinceLot: 0, sinceNeedle: 0, before: null };

/**
 * Goes through checks in the order of their time. Before each, a part that changed is new, with the variance that `spread` gives it,
 * and the drift has wandered for the time since; then the check counts by its gain. One that `release` would reject before it looks at
 * any program (past its stop, outside its temperature, scattered) counts nothing. Checks that cannot be worked out are left out.
 */
export function thicknessCourse(recipe: Recipe, checks: readonly LoggedCheck[]): Pick<CourseRun, 'steps' | 'findings'> {
  return runCourse(recipe, checks);
}

/** A check that is to be made, and who and when it is. */
export interface NextCheck extends CheckMark {
  readonly options: ReleaseOptions;
}

/** What checks before lead to expect of the next one; null where none is of its lot or needle, or it cannot be worked out. */
export function earlierChecks(recipe: Recipe, checks: readonly LoggedCheck[], next: NextCheck): EarlierChecks | null {
  const { result: check } = syringeCheck(recipe, next.options);
  if (check === null) return null;
  const { course } = runCourse(
    recipe,
    checks.filter(({ time }) => time <= next.time),
  );
  return earlierOf(courseBefore(recipe, course, next, check.spread));
}

/** What a course leads to expect; null where no check in it is of the same lot or needle. */
export function earlierOf({ known, sinceLot, sinceNeedle }: Course): EarlierChecks | null {
  const checks = Math.max(sinceLot, sinceNeedle);
  return checks === 0 ? null : { known, checks };
}

interface CourseRun {
  readonly steps: readonly CourseStep[];
  readonly findings: readonly { line: number; finding: Finding }[];
  readonly course: Course;
}

function runCourse(recipe: Recipe, checks: readonly LoggedCheck[]): CourseRun {
  const steps: CourseStep[] = [];
  const findings: { line: number; finding: Finding }[] = [];
  let course = COURSE_START;
  for (const logged of [...checks].sort((a, b) => a.time - b.time)) {
    const { result: check, findings: found } = syringeCheck(recipe, optionsOf(logged));
    if (check === null) {
      findings.push(...found.filter(f => f.severity === 'error').map(finding => ({ line: logged.line, finding })));
      continue;
    }
    const step = stepOf(recipe, course, { logged, check });
    steps.push(step.step);
    course = step.course;
  }
  return { steps, findings, course };
}

/** A logged check as `release` takes it. */
export function optionsOf(logged: LoggedCheck): ReleaseOptions {
  const { kind, readings, lastDigit, readingError, shotsPerReading, pressure, dwell, age, temperature, shot } = logged;
  return {
    ...(kind === 'dots' ? { dots: readings } : { masses: readings }),
    ...{ lastDigit, shots: shotsPerReading, pressure, dwell },
    ...(readingError !== null && { readingError }),
    ...(age !== null && { age }),
    ...(temperature !== null && { temperature }),
    ...(shot !== null && { shot }),
  };
}

function stepOf(
  recipe: Recipe,
  course: Course,
  { logged, check }: { logged: LoggedCheck; check: SyringeCheck },
): { step: CourseStep; course: Course } {
  const { changed, ...before } = courseBefore(recipe, course, logged, check.spread);
  const faults = [...stopFault(recipe, check), ...temperatureFault(recipe, check), ...scatterFault(check.scatter)];
  const reading = thicknessReading(check);
  const { update, after } = courseAfter(before, faults.length > 0 ? null : reading);
  const step: CourseStep = {
    ...{ logged, check, changed, faults },
    earlier: { known: before.known, checks: Math.max(before.sinceLot, before.sinceNeedle) },
    thickness: reading === null ? null : Math.exp(reading.value),
    gain: update?.gain ?? 0,
    filtered: thicknessOf(sumOfParts(after.known)),
    surprise:
      update === null || update.surpriseVariance === 0 ? 0 : update.surprise / Math.sqrt(update.surpriseVariance),
  };
  return { step, course: after };
}

/** What is known when the next check is made: parts that changed are new, and the drift has wandered. */
export function courseBefore(
  recipe: Recipe,
  { known, before, sinceLot, sinceNeedle }: Course,
  next: CheckMark,
  spread: ReleaseSpread,
): Course & { readonly changed: readonly ChangedPart[] } {
  const changed = changedParts(next, before);
  const hours = before === null ? 0 : (next.time - before.time) / HOUR;
  const silent = spread.lot === 0 && spread.needle === 0 && spread.syringe === 0;
  const deviation = (part: ChangedPart) => (silent && part === 'lot' ? UNKNOWN : spread[part]);
  const fresh = changed.reduce((all, part) => withNewPart(all, PLACE[part], deviation(part) ** 2), known);
  return {
    known: withWander(fresh, PLACE.drift, driftOf(recipe) ** 2 * hours),
    changed,
    sinceLot: changed.includes('lot') ? 0 : sinceLot,
    sinceNeedle: changed.includes('needle') ? 0 : sinceNeedle,
    before: next,
  };
}

/** What is known once the check is made; a reading of null counts nothing. */
export function courseAfter(
  before: Course,
  reading: PartsReading | null,
): { readonly update: PartsUpdate | null; readonly after: Course } {
  if (reading === null) return { update: null, after: before };
  const update = updateParts(before.known, reading);
  const { sinceLot, sinceNeedle } = before;
  return {
    update,
    after: { known: update.known, sinceLot: sinceLot + 1, sinceNeedle: sinceNeedle + 1, before: before.before },
  };
}
