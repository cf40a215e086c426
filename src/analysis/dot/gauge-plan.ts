import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { dotFinding } from '../../diagnostics/codes/dot-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted, inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { cavityBook } from '../cavity/cavity-book.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import type { ResinDot } from './dot.ts';
import { type GaugeGrid, gaugeGrid, type Paper } from './gauge-grid.ts';
import { type ReadDot, readDot } from './read-dot.ts';
import { spreadingViscosity } from './spreading-resin.ts';

export interface GaugeOptions {
  /** Default A4. */
  readonly paper?: Paper | undefined;
  /** Shots on one circle; default: so many that the reading can tell the tolerance. */
  readonly shots?: number | undefined;
  /** Default: as many as stand calmly on one page. */
  readonly circles?: number | undefined;
  /** Measured length of the printed bar over its nominal one, across and down; default 1. */
  readonly scaleX?: number | undefined;
  readonly scaleY?: number | undefined;
}

const SCALE_LIMITS = { least: 0.9, greatest: 1.1 };
const MOST_CIRCLES = 1000;

/** The backfill window: what a connector bears, allowance included. */
export interface GaugeWindow {
  readonly min: number; // [m³]
  readonly aim: number;
  readonly max: number;
}

/** Everything that a gauge is made from, but for the number of shots. */
export interface GaugePlan {
  readonly window: GaugeWindow;
  readonly dot: ResinDot;
  /** Of a fresh syringe, as it is read. */
  readonly read: ReadDot;
  readonly paper: Paper;
  readonly scaleX: number;
  readonly scaleY: number;
  readonly tolerance: number; // [-]
  readonly defaults: readonly string[];
}

/** What is wrong with the options; all of it at once. */
export function optionFindings(o: GaugeOptions): Finding[] {
  const out: Finding[] = [];
  const counts = [
    ['shots', o.shots, Number.MAX_SAFE_INTEGER],
    ['circles', o.circles, MOST_CIRCLES],
  ] as const;
  for (const [name, value, most] of counts) {
    if (value === undefined || (Number.isInteger(value) && value >= 1 && value <= most)) continue;
    const wanted = most === MOST_CIRCLES ? `a whole number from 1 to ${most}` : 'a whole number of at least 1';
    out.push(dotFinding('gauge-option', null, `${name} is ${value}, must be ${wanted}`));
  }
  for (const [name, value] of [
    ['scale-x', o.scaleX],
    ['scale-y', o.scaleY],
  ] as const) {
    if (value === undefined || (value >= SCALE_LIMITS.least && value <= SCALE_LIMITS.greatest)) continue;
    const message = `${name} is ${value}, must be from ${SCALE_LIMITS.least} to ${SCALE_LIMITS.greatest}`;
    out.push(dotFinding('gauge-option', null, message));
  }
  return out;
}

/** Least, wanted and greatest backfill of the recipe, all above zero. */
export function backfillWindow(recipe: Recipe): Outcome<GaugeWindow> {
  const { connector } = recipe;
  const gaps: [boolean, string][] = [
    [connector?.cavity === undefined || connector.cavity.length === 0, 'connector.cavity'],
    [connector?.cable === undefined, 'connector.cable'],
    [connector?.reach === undefined, 'connector.reach'],
    [recipe.needle === undefined, 'needle'],
  ];
  const missing = gaps.filter(([gap]) => gap).map(([, path]) => blockMissing(path, 'the gauge'));
  if (missing.length > 0) return { result: null, findings: missing };
  const { result: book, findings } = cavityBook(recipe);
  const { min, aim, max } = book?.backfill ?? { min: null, aim: null, max: null };
  if (min !== null && aim !== null && max !== null && min > 0 && aim > 0 && max > 0) {
    return { result: { min, aim, max }, findings };
  }
  if (findings.some(f => f.severity === 'error')) return { result: null, findings };
  return { result: null, findings: [...findings, blockMissing('needle.outside', 'the window of the backfill')] };
}

export function gaugePlan(recipe: Recipe, options: GaugeOptions, window: GaugeWindow, dot: ResinDot): GaugePlan {
  const given = recipe.process?.tolerance?.value;
  const half = Math.min(window.aim - window.min, window.max - window.aim) / window.aim;
  const defaults = [
    ...(given === undefined ? ['process.tolerance: the narrower half of the window'] : []),
    ...(recipe.resin?.dot?.reading_error.source === 'default'
      ? [`resin.dot.reading_error: ${inWords(recipe.resin.dot.reading_error.value, 'mm')}`]
      : []),
    ...takenByDefault(recipe, 'gauge'),
  ];
  return {
    window,
    dot,
    read: readDot(recipe, dot, spreadingViscosity(recipe, { age: recipe.process?.ready_after.value ?? 0 })),
    paper: options.paper ?? 'a4',
    scaleX: options.scaleX ?? 1,
    scaleY: options.scaleY ?? 1,
    tolerance: given ?? half,
    defaults,
  };
}

/** Shots on one circle: as asked for, or by the rule, but never more than the paper can show. */
export function shotsOf(plan: GaugePlan, asked: number | undefined): Outcome<number> {
  if (asked !== undefined) {
    if (gridFor(plan, asked) !== null) return { result: asked, findings: [] };
    return { result: null, findings: [tooLarge(plan, asked)] };
  }
  if (gridFor(plan, 1) === null) return { result: null, findings: [tooLarge(plan, 1)] };
  // an aim at the end of its window leaves no tolerance to tell: then one shot, and the coarse reading is a finding
  const needed =
    plan.tolerance > 0 ? plan.read.shotsFor({ shotVolume: plan.window.aim, tolerance: plan.tolerance }) : 1;
  let fits = 1;
  let beyond = needed + 1;
  while (beyond - fits > 1) {
    const middle = Math.floor((fits + beyond) / 2);
    if (gridFor(plan, middle) === null) beyond = middle;
    else fits = middle;
  }
  return { result: fits, findings: [] };
}

function tooLarge(plan: GaugePlan, shots: number): Finding {
  const diameter = plan.read.diameter(shots * plan.window.max);
  const message = `the max ring of ${counted(shots, 'shot')} is ${inWords(diameter, 'mm')} across, more than the ${plan.paper === 'a4' ? 'A4' : 'letter'} sheet can hold`;
  return dotFinding('gauge-too-large', null, message);
}

/** The places of the circles; null where the largest ring does not fit. */
export function gridFor(plan: GaugePlan, shots: number): GaugeGrid | null {
  const diameter = plan.read.diameter(shots * plan.window.max);
  return gaugeGrid({ paper: plan.paper, width: diameter / plan.scaleX, height: diameter / plan.scaleY });
}
