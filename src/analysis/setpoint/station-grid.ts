import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inSeconds, inWords } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import { gridRange, gridValue } from '../../numeric/setting-grid.ts';
import type { Quantity, Recipe } from '../../recipe/schema/recipe.ts';
import type { OperatingPoint } from '../delivery/operating-point.ts';
import type { DwellChoice, Pair } from './setpoint-search.ts';

/** Settings that a station can hold, one of them fixed where asked for. */
export interface StationGrid {
  readonly pressures: readonly number[];
  readonly dwells: DwellChoice;
  /** Limits with the keys that set them. */
  readonly pressureEnds: {
    readonly min: number;
    readonly max: number;
    readonly minKey: string;
    readonly maxKey: string;
  };
  readonly dwellEnds: { readonly min: number; readonly max: number; readonly minKey: string; readonly maxKey: string };
}

/** The settings of the recipe's station, or why there are none: limits, rating and what is fixed. */
export function stationGrid({ station }: Recipe, options: { pressure?: number; dwell?: number }): Outcome<StationGrid> {
  const findings: Finding[] = [];
  if (station?.pressure === undefined && options.pressure === undefined) {
    findings.push(
      blockMissing('station.pressure', 'a setpoint', 'add `station.pressure`, or fix it with `--pressure`'),
    );
  }
  if (station?.dwell === undefined && options.dwell === undefined) {
    findings.push(blockMissing('station.dwell', 'a setpoint', 'add `station.dwell`, or fix it with `--dwell`'));
  }
  if (findings.length > 0) return { result: null, findings };
  const limits = endsOf(station);
  const { pressure, dwell } = options;
  const inside = (value: number | undefined, ends: StationGrid['pressureEnds']) =>
    value === undefined || (atLeast(value, ends.min) && atMost(value, ends.max));
  if (!inside(pressure, limits.pressureEnds)) {
    const { min, max, maxKey } = limits.pressureEnds;
    const message = `the fixed pressure is ${inWords(pressure!, 'kPa')}, the station allows ${inWords(min, 'kPa')} to ${inWords(max, 'kPa')}`;
    findings.push(deliveryFinding('setpoint-impossible', maxKey, message, 'fix a pressure inside the limits'));
  }
  if (!inside(dwell, limits.dwellEnds)) {
    const { min, max, maxKey } = limits.dwellEnds;
    const message = `the fixed dwell is ${inSeconds(dwell!)}, the station allows ${inSeconds(min)} to ${inSeconds(max)}`;
    findings.push(deliveryFinding('setpoint-impossible', maxKey, message, 'fix a dwell inside the limits'));
  }
  const fine = pressure === undefined ? tooFine(station!.pressure!, limits.pressureEnds) : null;
  if (fine !== null) findings.push(fine);
  if (findings.length > 0) return { result: null, findings };
  const pressures = pressure === undefined ? pressureSteps(station!.pressure!, limits.pressureEnds) : [pressure];
  const dwells: DwellChoice =
    dwell === undefined
      ? { ...gridRange({ ...limits.dwellEnds, step: station!.dwell!.step.value }), step: station!.dwell!.step.value }
      : { fixed: dwell };
  const fixedEnds = (value: number | undefined, ends: StationGrid['pressureEnds'], key: string) =>
    value === undefined ? ends : { min: value, max: value, minKey: key, maxKey: key };
  const result: StationGrid = {
    ...{ pressures, dwells },
    pressureEnds: fixedEnds(pressure, limits.pressureEnds, 'station.pressure'),
    dwellEnds: fixedEnds(dwell, limits.dwellEnds, 'station.dwell'),
  };
  return { result, findings };
}

function endsOf(station: Recipe['station']): Pick<StationGrid, 'pressureEnds' | 'dwellEnds'> {
  const { pressure, dwell, rating } = station ?? {};
  const most = pressure?.max.value ?? Number.POSITIVE_INFINITY;
  const rated = rating !== undefined && rating.value < most;
  return {
    pressureEnds: {
      min: pressure?.min.value ?? 0,
      max: rated ? rating.value : most,
      minKey: 'station.pressure.min',
      maxKey: rated ? 'station.rating' : 'station.pressure.max',
    },
    dwellEnds: {
      min: dwell?.min.value ?? 0,
      max: dwell?.max.value ?? Number.POSITIVE_INFINITY,
      minKey: 'station.dwell.min',
      maxKey: 'station.dwell.max',
    },
  };
}

/** Every step of pressure is looked at with its best dwell; more of them than this no station holds. */
const MOST_PRESSURES = 100_000;

function tooFine({ step }: { step: Quantity }, ends: StationGrid['pressureEnds']): Finding | null {
  const { first, last } = gridRange({ min: ends.min, max: ends.max, step: step.value });
  if (last - first < MOST_PRESSURES) return null;
  const message = `${inWords(step.value, 'kPa')} a step makes more than ${MOST_PRESSURES} pressures up to ${inWords(ends.max, 'kPa')}`;
  const help = 'write the step that the regulator can hold, or fix the pressure';
  return deliveryFinding('setpoint-impossible', 'station.pressure.step', message, help);
}

function pressureSteps({ step }: { step: Quantity }, ends: StationGrid['pressureEnds']): number[] {
  const { first, last } = gridRange({ min: ends.min, max: ends.max, step: step.value });
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => gridValue(first + i, step.value));
}

/** With a fixed dwell every pressure is a pair; they reach the aim only where they lie on both sides of it. */
export function reaching(pairs: readonly Pair[], grid: StationGrid): readonly Pair[] {
  if (!('fixed' in grid.dwells) || pairs.length === 0) return pairs;
  const errors = pairs.map(pair => pair.error);
  const [low, high] = errors.reduce(
    ([a, b], error) => [Math.min(a, error), Math.max(b, error)],
    [errors[0]!, errors[0]!],
  );
  if (low <= 0 && high >= 0) return pairs;
  // one end of the pressures may be a step short of the aim: accept it within half the change of a step
  const step = pairs.length > 1 ? Math.abs(low > 0 ? errors[1]! - errors[0]! : errors.at(-1)! - errors.at(-2)!) : 0;
  return Math.min(Math.abs(low), Math.abs(high)) <= step / 2 ? pairs : [];
}

/** Why no setting delivers the aim, with the numbers at the end of the limits. */
export function impossible(point: OperatingPoint, aim: number, grid: StationGrid): Finding {
  const { pressureEnds: p, dwellEnds: t } = grid;
  const wanted = `the aim is ${inWords(aim, 'µL')}`;
  if (point.restPressure >= p.max) {
    const message = `the resin does not flow below ${inWords(point.restPressure, 'kPa')}, the pressure may be ${inWords(p.max, 'kPa')} at most`;
    return deliveryFinding('setpoint-impossible', p.maxKey, message);
  }
  const at = (pressure: number, dwell: number) => `${inWords(pressure, 'kPa')} for ${inSeconds(dwell)}`;
  const highest = grid.pressures.at(-1) ?? p.max;
  if (Number.isFinite(t.max) && point.deliver({ pressure: highest, dwell: t.max }).volume < aim) {
    const most = point.deliver({ pressure: highest, dwell: t.max }).volume;
    const message = `${wanted}, and the most the station can do, ${at(highest, t.max)}, delivers ${inWords(most, 'µL')}`;
    return deliveryFinding(
      'setpoint-impossible',
      p.maxKey,
      message,
      'take a wider or shorter needle, or a longer dwell',
    );
  }
  const lowest = grid.pressures[0] ?? p.min;
  const least = point.deliver({ pressure: lowest, dwell: t.min }).volume;
  if (least > aim) {
    const message = `${wanted}, and the least the station can do, ${at(lowest, t.min)}, delivers ${inWords(least, 'µL')}`;
    return deliveryFinding(
      'setpoint-impossible',
      t.minKey,
      message,
      'take a narrower or longer needle, or a shorter dwell',
    );
  }
  const message = `${wanted}, and no step of pressure and dwell inside the limits of the station comes near it`;
  return deliveryFinding('setpoint-impossible', grid.pressures.length === 0 ? p.maxKey : 'station.dwell.step', message);
}
