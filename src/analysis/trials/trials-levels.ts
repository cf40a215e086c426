import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inSeconds, inWords } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import { gridRange, gridValue, isOnGrid } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { OperatingPoint, Setting } from '../delivery/operating-point.ts';
import { settingInForce } from '../setpoint/program-in-force.ts';

/** How many levels, or which [SI]. */
export type LevelChoice = number | readonly number[];

export interface Levels {
  readonly pressures: readonly number[]; // [Pa], rising
  readonly dwells: readonly number[]; // [s], rising
}

/**
 * Levels lie between half and twice the working setting: wide enough to part offset and dead time from the viscosity, near enough
 * for the flow model to hold. *Our choice; common practice, no source.*
 */
const LEVEL_SPAN = { from: 0.5, to: 2 } as const;

/** The resin is to flow well above its rest at every level: so many times the pressure at which it stops. */
const ABOVE_REST = 2;

/** The setting a trial is built around: `settings`, else the setpoint's. */
function workingSetting(recipe: Recipe): Outcome<Setting> {
  const { result, findings } = settingInForce(recipe);
  if (result !== null) return { result, findings: [] };
  const help = 'add `settings`, or name the levels with `--pressures` and `--dwells`';
  return { result, findings: [blockMissing('settings', 'a trial around the working setting', help), ...findings] };
}

/** Levels inside the station's limits and rating and on its steps, or why there are none. */
export function trialLevels(
  recipe: Recipe,
  point: OperatingPoint,
  choice: { pressures: LevelChoice; dwells: LevelChoice },
): Outcome<Levels> {
  const counted = typeof choice.pressures === 'number' || typeof choice.dwells === 'number';
  const working = counted ? workingSetting(recipe) : { result: null, findings: [] };
  if (counted && working.result === null) return { result: null, findings: working.findings };
  const ends = endsOf(recipe, point);
  const pressures = levelsOf(choice.pressures, working.result?.pressure ?? 0, ends.pressure);
  const dwells = levelsOf(choice.dwells, working.result?.dwell ?? 0, ends.dwell);
  const findings = [...working.findings, ...pressures.findings, ...dwells.findings];
  if (pressures.result === null || dwells.result === null) return { result: null, findings };
  return { result: { pressures: pressures.result, dwells: dwells.result }, findings };
}

interface Ends {
  readonly what: 'pressure' | 'dwell';
  readonly path: string;
  readonly min: number;
  readonly max: number;
  readonly step: number | null;
  readonly words: (value: number) => string;
}

function endsOf({ station }: Recipe, point: OperatingPoint): { pressure: Ends; dwell: Ends } {
  const { pressure, dwell, rating } = station ?? {};
  const most = Math.min(pressure?.max.value ?? Number.POSITIVE_INFINITY, rating?.value ?? Number.POSITIVE_INFINITY);
  return {
    pressure: {
      what: 'pressure',
      path: 'station.pressure',
      min: Math.max(pressure?.min.value ?? 0, ABOVE_REST * Math.max(0, point.restPressure)),
      max: most,
      step: pressure?.step.value ?? null,
      words: value => inWords(value, 'kPa'),
    },
    dwell: {
      what: 'dwell',
      path: 'station.dwell',
      min: dwell?.min.value ?? 0,
      max: dwell?.max.value ?? Number.POSITIVE_INFINITY,
      step: dwell?.step.value ?? null,
      words: inSeconds,
    },
  };
}

function levelsOf(choice: LevelChoice, working: number, ends: Ends): Outcome<number[]> {
  return typeof choice === 'number' ? spread(choice, working, ends) : named(choice, ends);
}

function spread(count: number, working: number, ends: Ends): Outcome<number[]> {
  const low = Math.max(ends.min, count === 1 ? working : working * LEVEL_SPAN.from);
  const high = Math.min(ends.max, count === 1 ? working : working * LEVEL_SPAN.to);
  const levels = low <= high ? geometric(count, low, high).map(value => onStep(value, { ...ends, low, high })) : [];
  const distinct = [...new Set(levels.filter(v => v !== null))];
  if (distinct.length === count) return { result: distinct, findings: [] };
  const room = low <= high ? `${ends.words(low)} to ${ends.words(high)}` : 'no range';
  const message = `${count} ${ends.what}s were asked for; the limits leave ${room}, with ${distinct.length} of them on the steps of the station`;
  return { result: null, findings: [floorFinding('trials-levels', ends.path, message)] };
}

/** Equal ratios apart; one level is the lower end. */
function geometric(count: number, low: number, high: number): number[] {
  if (count === 1) return [low];
  return Array.from({ length: count }, (_, i) => low * (high / low) ** (i / (count - 1)));
}

function onStep(value: number, p: { step: number | null; low: number; high: number }): number | null {
  const { step } = p;
  if (step === null) return Number(value.toPrecision(3));
  const { first, last } = gridRange({ min: p.low, max: p.high, step });
  if (first > last) return null;
  return gridValue(Math.min(last, Math.max(first, Math.round(value / step))), step);
}

function named(levels: readonly number[], ends: Ends): Outcome<number[]> {
  const findings: Finding[] = levels.flatMap(value => {
    const { min, max, step } = ends;
    if (!atLeast(value, min) || !atMost(value, max)) {
      const message = `${ends.words(value)} is outside ${ends.words(min)} to ${ends.words(max)}, where the station can go and the resin flows`;
      return [floorFinding('trials-levels', ends.path, message)];
    }
    if (step === null || isOnGrid(value, step)) return [];
    const message = `${ends.words(value)} is not on the station's step of ${ends.words(step)}`;
    return [floorFinding('trials-levels', `${ends.path}.step`, message)];
  });
  if (findings.length > 0) return { result: null, findings };
  return { result: [...new Set(levels)].sort((a, b) => a - b), findings };
}
