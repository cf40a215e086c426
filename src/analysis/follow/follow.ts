import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inPercent, inSeconds, shortened } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DwellStageKeys, dwellStageKeys } from '../ramp/ramp.ts';
import { judgedThickness } from '../release/filtered-thickness.ts';
import { judgeCheck, type RunAhead, runAhead } from '../release/judge-syringe.ts';
import type { SyringeCheck } from '../release/measured-syringe.ts';
import { keepsWindow, type ReasonCode } from '../release/release-decision.ts';
import { judgedRun, type Thickness } from '../release/shots-left.ts';
import { type Program, settingAt } from '../setpoint/program-in-force.ts';
import { type Correction, correctionOf } from './correction.ts';
import type { ChangedPart, LoggedCheck } from './logged-release.ts';
import { type CourseStep, driftOf, thicknessCourse } from './thickness-course.ts';

export type FollowAction = 'keep' | 'set' | 'stop';

export interface FollowCheckKeys {
  readonly line: number;
  readonly time: string;
  readonly syringe: string;
  readonly lot: string;
  readonly needle: string;
  readonly operator: string;
  readonly shot: number;
  readonly age_min: number;
  /** As set for the check. */
  readonly dwell_s: number;
  /** Parts that are others than at the check before. */
  readonly changed: readonly ChangedPart[];
  /** By this check alone; null where no thickness gives what was measured. */
  readonly thickness: number | null;
  /** Share of this check in what is known after it; 0 where it was not counted. */
  readonly gain: number;
  /** Thickness after this check, with its 95 % interval. */
  readonly filtered: number;
  readonly low: number;
  readonly high: number;
  /** How far the check lies from what was expected, in standard deviations. */
  readonly surprise: number;
  /** As the log has it. */
  readonly decision: string;
}

export interface FollowResult {
  readonly checks: readonly FollowCheckKeys[];
  /** For the shots after the last check. */
  readonly action: FollowAction;
  /** Of the next shot; null to stop. */
  readonly dwell_s: number | null;
  readonly program: { readonly stages: readonly DwellStageKeys[] } | null;
  readonly reason: { readonly code: FollowReason; readonly text: string };
  readonly thickness: { readonly estimate: number; readonly low: number; readonly high: number };
  /** Mean of the shots left with the program in force, over the aim. */
  readonly error_pct: number | null;
  /** The program in force is kept up to this error. */
  readonly dead_band_pct: number | null;
  /** What the dwell is multiplied by at the next shot; null where nothing is set. */
  readonly factor: number | null;
  readonly before_s: number;
  readonly drift_pct: number;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export type FollowReason = ReasonCode | 'near' | 'error' | 'limited';

export interface FollowOutcome {
  readonly result: FollowResult | null;
  readonly findings: readonly Finding[];
  /** About a line of the log. */
  readonly lines: readonly { readonly line: number; readonly finding: Finding }[];
}

/**
 * What to do after the last check of a log: keep the program in force, set another, or stop. The thickness is filtered from check
 * to check, `thicknessCourse`; whether the error at it is worth a correction, `correctionOf`; what `release` would reject is stopped.
 */
export function follow(recipe: Recipe, checks: readonly LoggedCheck[]): FollowOutcome {
  const { steps, findings: lines } = thicknessCourse(recipe, checks);
  const last = steps.at(-1);
  if (last === undefined) return { result: null, findings: [], lines };
  const decided = decide(last, steps);
  const { check } = last;
  const result: FollowResult = {
    checks: steps.map(checkKeys),
    ...decided,
    thickness: last.filtered,
    drift_pct: driftOf(recipe) * 100,
    models: [...check.read.models, ...(check.point?.models ?? ['shot in proportion to the dwell'])],
    defaults: [
      ...(recipe.process?.drift === undefined ? [`process.drift: ${inPercent(driftOf(recipe))} in an hour`] : []),
      ...(check.point?.defaults ?? []),
    ],
  };
  return { result, findings: [], lines: [...lines, ...farFindings(steps)] };
}

/** Chance puts a check this far from what was expected once in some 370 [standard deviations]. */
const FAR = 3;

function farFindings(steps: readonly CourseStep[]): { line: number; finding: Finding }[] {
  return steps
    .filter(({ surprise }) => Math.abs(surprise) > FAR)
    .map(({ logged, surprise, thickness }) => {
      const message = `the check finds the syringe ${shortened(thickness!, 3)} times as thick as the recipe, ${shortened(Math.abs(surprise), 2)} standard deviations from what those before it let expect`;
      return { line: logged.line, finding: floorFinding('follow-far', null, message) };
    });
}

type Decided = Pick<
  FollowResult,
  'action' | 'dwell_s' | 'program' | 'reason' | 'error_pct' | 'dead_band_pct' | 'factor' | 'before_s'
>;

function decide(last: CourseStep, steps: readonly CourseStep[]): Decided {
  const program = programInForce(last, steps);
  // As `release --log` would have it: checks before count where they are of the same lot or needle.
  const check: SyringeCheck = { ...last.check, earlier: last.earlier.checks > 0 ? last.earlier : null };
  const { from, target } = check;
  const before = settingAt(program, from.shot).dwell;
  const none = { error_pct: null, dead_band_pct: null, factor: null, before_s: before };
  const stop = (code: FollowReason, text: string): Decided => ({
    ...none,
    ...{ action: 'stop', dwell_s: null, program: null, reason: { code, text } },
  });
  const judged = judgeCheck(check);
  if (judged === null)
    return stop('undecided', 'no thickness gives what was measured: look at the readings and the setting');
  if (judged.decision === 'reject') {
    const texts = judged.reasons.map(({ text }) => text);
    return stop(judged.reasons[0]!.code, `a release would reject it: ${texts.join('; ')}`);
  }
  const thickness = judgedThickness(judged.thickness!, last.filtered);
  const inForce = { ...check, program };
  const ahead = runAhead(inForce);
  const run = runOf(inForce, { program, ahead, thickness });
  const error = run.estimate.reduce((sum, volume) => sum + volume, 0) / run.estimate.length / target.aim - 1;
  const wanted = ahead.trimmed(thickness.estimate);
  const correction = correctionOf({
    ...{ error, dwell: before, step: check.recipe.station?.dwell?.step.value ?? 0, tolerance: target.tolerance },
    ...{ fresh: last.changed.length > 0, trimLimit: judged.trimLimit, factor: wanted?.factor ?? 1 },
  });
  const numbers = { error_pct: error * 100, dead_band_pct: correction.deadBand * 100, before_s: before };
  if (!correction.acts && keepsWindow(run, target)) {
    const text = `the shots left are ${signed(error)} off the aim with the program in force, and up to ${inPercent(correction.deadBand)} nothing is set`;
    return {
      ...{ action: 'keep', dwell_s: before, program: keysOf(program), reason: { code: 'near', text } },
      ...{ ...numbers, factor: null },
    };
  }
  const made = madeAnew(inForce, ahead, { correction, thickness: thickness.estimate });
  if (made === null)
    return { ...stop('trim-impossible', 'no program of this station keeps the aim of this syringe'), ...numbers };
  if (!keepsWindow(runOf(inForce, { program: made.program, ahead, thickness }), target)) {
    const text = `the shots left are ${signed(error)} off the aim, and what may be corrected at a time would leave some outside the window: look for the cause, then check and release anew`;
    return { ...stop('trim-window', text), ...numbers };
  }
  const dwell = settingAt(made.program, from.shot).dwell;
  const why = `the shots left are ${signed(error)} off the aim with the program in force: ${inSeconds(dwell)} in place of ${inSeconds(before)}`;
  const text = correction.limited ? `${why}, as much as is corrected at a time; check again soon` : why;
  return {
    ...{ action: 'set', dwell_s: dwell, program: keysOf(made.program) },
    reason: { code: correction.limited ? 'limited' : 'error', text },
    ...{ ...numbers, factor: made.factor },
  };
}

/** The program that the log names for the syringe last, that of the check included; else the recipe's. */
function programInForce({ logged, check }: CourseStep, steps: readonly CourseStep[]): Program {
  const same = (other: LoggedCheck) => other === logged || (logged.syringe !== '' && other.syringe === logged.syringe);
  const named = steps.findLast(step => same(step.logged) && step.logged.program !== null)?.logged.program;
  return named === undefined || named === null ? check.program : { ...check.program, stages: named };
}

function runOf(check: SyringeCheck, p: { program: Program; ahead: RunAhead; thickness: Thickness }) {
  const { program, ahead, thickness } = p;
  return judgedRun(check.model, ahead.shots, { thickness, program });
}

/** The program for the thickness, or for as much of it as may be corrected at a time. */
function madeAnew(
  check: SyringeCheck,
  ahead: RunAhead,
  { correction, thickness }: { correction: Correction; thickness: number },
): { program: Program; factor: number } | null {
  if (!correction.limited) return ahead.trimmed(thickness);
  const { program, from, model, target } = check;
  const { pressure, dwell } = settingAt(program, from.shot);
  const setting = { pressure, dwell: dwell * correction.factor };
  const reached = model.thicknessOf(target.aim, ahead.shots[0]!, setting);
  return reached === null ? null : ahead.trimmed(reached);
}

function checkKeys({ logged, check, changed, thickness, gain, filtered, surprise }: CourseStep): FollowCheckKeys {
  const { line, at, syringe, lot, needle, operator, decision } = logged;
  return {
    ...{ line, time: at, syringe, lot, needle, operator },
    ...{ shot: check.from.shot, age_min: check.from.age / 60, dwell_s: check.setting.dwell },
    ...{ changed, thickness, gain, filtered: filtered.estimate, low: filtered.low, high: filtered.high },
    ...{ surprise, decision },
  };
}

const keysOf = ({ stages }: Program) => ({ stages: stages.map(dwellStageKeys) });

const signed = (error: number) => `${error > 0 ? '+' : ''}${inPercent(error)}`;
