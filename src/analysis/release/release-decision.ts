import { inMinutes, inPercent, inSeconds, inWords, shortened } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import type { JudgedRun, Target } from './shots-left.ts';

export type ReleaseDecision = 'use' | 'use with trim' | 'reject';

/** What a reason is about; the first four are looked at before any program. */
export type ReasonCode =
  | 'stop'
  | 'conditions'
  | 'scatter'
  | 'inside'
  | 'window'
  | 'tolerance'
  | 'trim'
  | 'trim-window'
  | 'trim-tolerance'
  | 'trim-limit'
  | 'trim-impossible'
  | 'earlier'
  | 'undecided';

export interface Reason {
  readonly code: ReasonCode;
  readonly text: string;
}

export const reason = (code: ReasonCode, text: string): Reason => ({ code, text });

/** A run of trimmed shots, and how far its first dwell is from that of the program. */
export interface JudgedTrim {
  readonly run: JudgedRun;
  /** Exact trimmed dwell over the program's, at the check's shot. */ readonly factor: number;
  /** First dwell as it is to be set, and that of the program before [s]. */
  readonly dwell: number;
  readonly before: number;
}

export interface Judgement {
  readonly decision: ReleaseDecision;
  readonly reasons: readonly Reason[];
  /** Neither shown to be inside nor shown to be outside: more readings could settle it. */
  readonly undecided: boolean;
}

/**
 * Greatest correction that a trim may make, unless the recipe's own spread is wider: a quarter of the dwell. A syringe further off
 * has another fault than its dwell: wrong needle, lot, pressure or age. *Our choice; common practice, no source.*
 */
export const TRIM_LIMIT = 0.25;

/**
 * Decides on a checked syringe by the shots that it has left.
 *
 *   reject          for what no program mends: `stop`, `conditions`, `scatter`
 *   use             the program in force keeps every shot left inside, as the readings show it
 *   use with trim   it does not, but the trimmed program does, and its correction is within the limit
 *   reject          the correction is too large, no program does, or nothing was shown
 *
 * The window is judged with a guard band as wide as the interval of the readings (the syringe has to be shown good, ISO 14253-1:2017,
 * 5.2; JCGM 106:2012, 8.3.2), so the risk of a wrong release is 2.5 % at most on each side. The tolerance is judged by the estimate
 * alone (simple acceptance, JCGM 106 8.2): it asks whether a correction is worth making, and one that was not needed does no harm.
 * Limits are inclusive.
 */
export function judge(p: {
  faults: readonly Reason[];
  force: JudgedRun;
  /** Null where no program can be made for the shots left. */
  trim: () => JudgedTrim | null;
  trimLimit: number;
  target: Target;
}): Judgement {
  const { target } = p;
  if (p.faults.length > 0) return { decision: 'reject', reasons: p.faults, undecided: false };
  const against = reasonsAgainst(p.force, target, FORCE);
  if (against.length === 0) return { decision: 'use', reasons: [insideReason(p.force, target)], undecided: false };
  const trim = p.trim();
  if (trim === null) {
    const none = reason('trim-impossible', 'no program of this station keeps the aim of this syringe');
    return { decision: 'reject', reasons: [...against, none], undecided: isOpen(p.force, target) };
  }
  const limit = limitReason(trim, p.trimLimit);
  const still = reasonsAgainst(trim.run, target, TRIM);
  if (limit === null && still.length === 0) {
    return { decision: 'use with trim', reasons: [...against, trimReason(trim, target)], undecided: false };
  }
  const undecided = isOpen(p.force, target) || (limit === null && isOpen(trim.run, target));
  const open = reason('undecided', 'not shown to be good, so not released');
  const why = limit === null ? still : [limit];
  return { decision: 'reject', reasons: [...against, ...why, ...(undecided ? [open] : [])], undecided };
}

/** Whether a run keeps every interval inside the window and every estimate inside the tolerance. */
export function holds(run: JudgedRun, target: Target): boolean {
  return leavesWindow(run, target) === -1 && leavesTolerance(run, target) === -1;
}

/** Whether a run keeps every interval inside the window. */
export function keepsWindow(run: JudgedRun, target: Target): boolean {
  return leavesWindow(run, target) === -1;
}

/** Whether only the width of the interval speaks against a run. */
function isOpen(run: JudgedRun, target: Target): boolean {
  const { estimate } = run;
  return holds({ ...run, most: estimate, least: estimate }, target);
}

/** Place of the first shot whose interval is not inside the window, or −1. */
function leavesWindow({ most, least }: JudgedRun, { window }: Target): number {
  return most.findIndex((high, i) => !atMost(high, window.max) || !atLeast(least[i]!, window.min));
}

function leavesTolerance({ estimate }: JudgedRun, { aim, tolerance }: Target): number {
  return tolerance === null ? -1 : estimate.findIndex(volume => !atMost(Math.abs(volume / aim - 1), tolerance));
}

const FORCE = { window: 'window', tolerance: 'tolerance', of: 'with the program in force' } as const;
const TRIM = { window: 'trim-window', tolerance: 'trim-tolerance', of: 'also with a trim' } as const;

function reasonsAgainst(run: JudgedRun, target: Target, about: typeof FORCE | typeof TRIM): Reason[] {
  const [out, off] = [leavesWindow(run, target), leavesTolerance(run, target)];
  const reasons: Reason[] = [];
  if (off !== -1) {
    const error = run.estimate[off]! / target.aim - 1;
    const way = error > 0 ? 'above' : 'below';
    const text = `${about.of} ${shotText(run, off)} is ${inPercent(Math.abs(error))} ${way} the aim, the tolerance is ${inPercent(target.tolerance!)}`;
    reasons.push(reason(about.tolerance, text));
  }
  if (out !== -1) {
    const [low, high] = [run.least[out]!, run.most[out]!];
    const whole = high < target.window.min || low > target.window.max;
    const ends = `${inWords(low, 'µL')} to ${inWords(high, 'µL')}`;
    const text = `${about.of} the interval of ${shotText(run, out)}, ${ends}, ${whole ? 'lies' : 'reaches'} outside the window of ${windowText(target)}`;
    reasons.push(reason(about.window, text));
  }
  return reasons;
}

function limitReason({ factor }: JudgedTrim, limit: number): Reason | null {
  if (atMost(Math.abs(factor - 1), limit)) return null;
  const text = `the aim takes ${shortened(factor, 3)} times the dwell, and a trim may correct ${inPercent(limit)} at most: look at needle, lot, age and pressure first`;
  return reason('trim-limit', text);
}

function insideReason(run: JudgedRun, target: Target): Reason {
  const text = `with the program in force the interval of ${shotsText(run)} lies inside the window of ${windowText(target)}`;
  return reason('inside', text);
}

function trimReason({ run, dwell, before }: JudgedTrim, target: Target): Reason {
  const text = `trimmed to ${inSeconds(dwell)} in place of ${inSeconds(before)}, the interval of ${shotsText(run)} lies inside the window of ${windowText(target)}`;
  return reason('trim', text);
}

function shotText({ shots }: JudgedRun, i: number): string {
  const { shot, age } = shots[i]!;
  return `shot ${shot} (age ${inMinutes(age)})`;
}

function shotsText({ shots }: JudgedRun): string {
  const [first, last] = [shots[0]!, shots.at(-1)!];
  return shots.length === 1 ? `shot ${first.shot}` : `every shot from ${first.shot} to ${last.shot}`;
}

function windowText({ window }: Target): string {
  return `${inWords(window.min, 'µL')} to ${inWords(window.max, 'µL')}`;
}
