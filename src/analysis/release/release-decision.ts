import { inPercent, inSeconds, inWords } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';

export type ReleaseDecision = 'use' | 'use with trim' | 'reject';

/** The correction of the dwell for one syringe. */
export interface TrimStep {
  readonly dwell: number; // [s] as it is to be set
  readonly before: number; // [s]
  /** Mean shot with it [m³]. */
  readonly delivered: number;
}

export interface JudgedInput {
  readonly mean: number; // [m³]
  /** Half-width of the 95 % interval [m³]. */
  readonly halfWidth: number;
  readonly window: { readonly min: number; readonly max: number }; // [m³]
  readonly aim: number; // [m³]
  /** On the shot, about the aim [-]; null where the recipe gives none. */
  readonly tolerance: number | null;
  /** Greatest relative correction that a trim may make [-]. */
  readonly trimLimit: number;
  /** Limits of the dwell [s]. */
  readonly dwellEnds: { readonly min: number; readonly max: number };
  /** The dwell, on the station's steps, that brings the mean nearest to the aim. */
  readonly trim: TrimStep;
}

export interface Judged {
  readonly decision: ReleaseDecision;
  readonly trim: TrimStep | null;
  /** Neither shown to be inside nor shown to be outside: more readings could settle it. */
  readonly undecided: boolean;
  /** The mean that has to be shown inside, with the trim in place where there is one [m³]. */
  readonly shown: number;
  readonly reasons: readonly string[];
}

/**
 * Greatest correction that a trim may make: a quarter of the dwell. A syringe further off has another fault than its dwell: wrong
 * needle, lot, pressure or age. *Our choice; common practice, no source.*
 */
export const TRIM_LIMIT = 0.25;

/**
 * Decides on a fresh syringe.
 *
 *   use             the whole interval of the mean lies inside the window, and the mean within the tolerance of the aim
 *   use with trim   as it is, no; but with the dwell corrected, yes, and the correction is within its limit
 *   reject          the mean is further from the aim than a trim may correct, or nothing was shown to be inside
 *
 * The window is judged with a guard band as wide as the expanded uncertainty (the syringe has to be shown good, ISO 14253-1:2017,
 * 5.2; JCGM 106:2012, 8.3.2), so the risk of a wrong release is 2.5 % at most on each side. The tolerance is judged by the mean alone
 * (simple acceptance, JCGM 106 8.2): it asks whether a correction is worth making, and a correction that was not needed does no harm.
 * Limits are inclusive.
 */
export function judge(p: JudgedInput): Judged {
  const off = p.mean / p.aim - 1;
  const near = p.tolerance === null || atMost(Math.abs(off), p.tolerance);
  const asIs = inside(p, p.mean);
  const kept = { trim: null, shown: p.mean, undecided: false };
  if (near && asIs) return { ...kept, decision: 'use', reasons: [insideText(p)] };
  const why = [near ? outsideText(p, p.mean) : offText(off, p.tolerance!)];
  const wanted = Math.abs(p.aim / p.mean - 1);
  if (!near && !atMost(wanted, p.trimLimit)) {
    const more = `a trim may correct ${inPercent(p.trimLimit)} at most: look at needle, lot, age and pressure first`;
    return { ...kept, decision: 'reject', reasons: [...why, more] };
  }
  const step = p.trim;
  const { min, max } = p.dwellEnds;
  if (!atLeast(step.dwell, min) || !atMost(step.dwell, max)) {
    const limits = `the station allows ${inSeconds(min)} to ${inSeconds(max)}`;
    return { ...kept, decision: 'reject', reasons: [...why, `the aim needs ${inSeconds(step.dwell)}, ${limits}`] };
  }
  return trimmed(p, why, step);
}

function trimmed(p: JudgedInput, why: string[], step: TrimStep): Judged {
  const rest = step.delivered / p.aim - 1;
  if (p.tolerance !== null && !atMost(Math.abs(rest), p.tolerance)) {
    const coarse = `the steps of the station leave it ${inPercent(Math.abs(rest))} from the aim`;
    return { decision: 'reject', trim: null, undecided: false, shown: p.mean, reasons: [...why, coarse] };
  }
  if (!inside(p, step.delivered)) return undecided(p, why, step.delivered, step);
  if (step.dwell === step.before) {
    const same = 'no step of the dwell comes nearer to the aim';
    return { decision: 'use', trim: null, undecided: false, shown: p.mean, reasons: [...why, same, insideText(p)] };
  }
  const done = `${inSeconds(step.dwell)} in place of ${inSeconds(step.before)} brings the mean to ${inWords(step.delivered, 'µL')}`;
  return { decision: 'use with trim', trim: step, undecided: false, shown: step.delivered, reasons: [...why, done] };
}

function undecided(p: JudgedInput, why: string[], shown: number, step: TrimStep): Judged {
  const moved = step.dwell !== step.before;
  const text = moved ? `also with a dwell of ${inSeconds(step.dwell)} ${outsideText(p, shown)}` : null;
  const reasons = [...why, ...(text === null ? [] : [text]), 'not shown to be good, so not released'];
  return { decision: 'reject', trim: null, undecided: true, shown, reasons };
}

/** Whether the interval about a mean lies inside; a corrected mean keeps its relative uncertainty. */
function inside(p: JudgedInput, mean: number): boolean {
  const { low, high } = intervalAbout(p, mean);
  return atLeast(low, p.window.min) && atMost(high, p.window.max);
}

function intervalAbout(p: JudgedInput, mean: number): { low: number; high: number } {
  const half = (p.halfWidth * mean) / p.mean;
  return { low: mean - half, high: mean + half };
}

function insideText(p: JudgedInput): string {
  return `the interval lies inside the window of ${windowText(p)}`;
}

function outsideText(p: JudgedInput, mean: number): string {
  const { low, high } = intervalAbout(p, mean);
  const whole = high < p.window.min || low > p.window.max;
  const ends = `${inWords(low, 'µL')} to ${inWords(high, 'µL')}`;
  return `the interval, ${ends}, ${whole ? 'lies' : 'reaches'} outside the window of ${windowText(p)}`;
}

function windowText({ window }: JudgedInput): string {
  return `${inWords(window.min, 'µL')} to ${inWords(window.max, 'µL')}`;
}

function offText(off: number, tolerance: number): string {
  const way = off > 0 ? 'above' : 'below';
  return `the mean is ${inPercent(Math.abs(off))} ${way} the aim, the tolerance is ${inPercent(tolerance)}`;
}
