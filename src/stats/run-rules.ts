import { DomainError } from '../numeric/domain-error.ts';

/** A point of a chart. */
export interface RulePoint {
  readonly value: number;
  /** Distance from the centre line, in standard deviations of this point (subgroups may differ in size). */
  readonly z: number;
}

export interface RunRuleOptions {
  /** Which rules to apply, 1 to 8. */
  readonly rules: readonly number[];
  /** Points on one side that make rule 2 fire: 9 (Nelson) or 8 (the handbook of 1956). Default 9. */
  readonly oneSide?: number;
}

/** What each rule looks for. */
export const RUN_RULES: ReadonlyMap<number, string> = new Map([
  [1, 'one point beyond three sigma'],
  [2, 'nine points in a row on one side of the centre line'],
  [3, 'six points in a row, all rising or all falling'],
  [4, 'fourteen points in a row, alternately up and down'],
  [5, 'two of three points in a row beyond two sigma on one side'],
  [6, 'four of five points in a row beyond one sigma on one side'],
  [7, 'fifteen points in a row within one sigma'],
  [8, 'eight points in a row beyond one sigma, on either side'],
]);

/** Rules that a trend uses unless told otherwise. */
export const DEFAULT_RULES: readonly number[] = [1, 2, 3, 4];

/** Rounding must not push a point that lies on a zone line over it. */
const GRACE = 1e-9;

/**
 * Which run rules fire at each point.
 *
 * A rule fires at the point that completes the pattern and at every further point that completes it again; counts do not
 * start afresh after a signal. Rules 1, 2, 5 and 6 look at each side by itself, 3, 4, 7 and 8 at the whole chart. A point on a zone
 * line belongs to the inner zone: on the three-sigma line it is not beyond it, on the one-sigma line it is within it, on the
 * centre line it is on neither side. Rules 5 and 6 fire only at a point that is itself beyond; two such points (four) in a row at the
 * start are enough. Rules 3 and 4 compare neighbours; equal neighbours end the run. Variants of rule 5 that count only points
 * inside three sigma exist; here a point beyond three sigma counts for 5 and 6 too.
 *
 * Shape: one list of rule numbers, rising, a point.
 * Throws: DomainError for a rule number that does not exist.
 * Source: Nelson, J. Qual. Technol. 16 (1984) 237; Western Electric, Statistical Quality Control Handbook, 1956.
 * Evidence: for every rule one pattern that just fires and one that just does not, by hand.
 */
export function runRules(points: readonly RulePoint[], options: RunRuleOptions): number[][] {
  const chosen = [...new Set(options.rules)].sort((a, b) => a - b);
  for (const rule of chosen)
    if (!RUN_RULES.has(rule)) throw new DomainError('rule', rule, '-', 'a whole number from 1 to 8');
  const fires = rulesOver(points, options.oneSide ?? 9);
  return points.map((_, i) => chosen.filter(rule => fires[rule]!(i)));
}

type Fires = (index: number) => boolean;

function rulesOver(points: readonly RulePoint[], oneSide: number): Record<number, Fires> {
  const beyond = (i: number, zone: number, side: number): boolean => side * points[i]!.z > zone + GRACE;
  const either = (i: number, zone: number): boolean => beyond(i, zone, 1) || beyond(i, zone, -1);
  const onEitherSide = (test: (side: number) => boolean): boolean => test(1) || test(-1);
  const change = (i: number): number => stepOf(points, i);
  return {
    1: i => either(i, 3),
    2: i => onEitherSide(side => all(i, oneSide, k => beyond(k, 0, side))),
    3: i => onEitherSide(side => i >= 5 && all(i, 5, k => change(k) === side)),
    4: i => i >= 13 && change(i) !== 0 && all(i, 12, k => change(k) === -change(k - 1) && change(k) !== 0),
    5: i => onEitherSide(side => beyond(i, 2, side) && count(i, 3, k => beyond(k, 2, side)) >= 2),
    6: i => onEitherSide(side => beyond(i, 1, side) && count(i, 5, k => beyond(k, 1, side)) >= 4),
    7: i => all(i, 15, k => !either(k, 1)),
    8: i => all(i, 8, k => either(k, 1)),
  };
}

/** 1 for a rise from the point before, −1 for a fall, 0 where the two are equal but for rounding. */
function stepOf(points: readonly RulePoint[], i: number): number {
  const before = points[i - 1]!.value;
  const now = points[i]!.value;
  return Math.abs(now - before) > 1e-12 * Math.max(Math.abs(now), Math.abs(before)) ? Math.sign(now - before) : 0;
}

/** Whether the last `length` points up to i exist and all pass. */
function all(i: number, length: number, test: Fires): boolean {
  if (i < length - 1) return false;
  for (let k = i - length + 1; k <= i; k++) if (!test(k)) return false;
  return true;
}

/** How many of the last `length` points up to i pass. */
function count(i: number, length: number, test: Fires): number {
  let passing = 0;
  for (let k = Math.max(0, i - length + 1); k <= i; k++) if (test(k)) passing++;
  return passing;
}
