import { gridValue } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type RampPlan, type RunStart, rampPlan, runStart } from '../program/ramp-shots.ts';
import { ageOfShot, shotAtAge } from '../program/shot-clock.ts';

/** The dwell by temperature and age, as `ramp` has it. */
export interface DwellGrid {
  readonly temperatures_C: readonly number[];
  readonly ages_min: readonly number[];
  /** `dwell_s[temperature][age]`: exact, rounded to the station's step; null past the stop. */
  readonly dwell_s: readonly (readonly (number | null)[])[];
  /** Age of the last shot at each temperature; null where there is none. */
  readonly stop_min: readonly (number | null)[];
}

const AGE_STEP = 300; // [s]
const MOST_AGES = 200;
/** Kelvin to either side that a grid shows at most where the tolerance is wider. */
const MOST_KELVINS = 10;

/**
 * Dwells every 5 min from `ready_after` on, at temperatures [K] or every kelvin of the tolerance of `process.temperature`. Null where no
 * run can be planned at any of them.
 */
export function dwellGrid(
  recipe: Recipe,
  {
    pressure,
    temperatures = usualTemperatures(recipe),
    of,
  }: {
    pressure: number;
    temperatures?: readonly number[] | undefined;
    /** A syringe of its own thickness, from where its run goes on. */
    of?: { readonly lotFactor: number; readonly from: RunStart } | undefined;
  },
): DwellGrid | null {
  const plans = temperatures.map(
    temperature => rampPlan(recipe, { by: 'dwell', fixed: pressure, temperature, ...of }).result,
  );
  const stops = plans.map(plan => plan?.end.age ?? null);
  const last = Math.max(...stops.map(stop => stop ?? Number.NEGATIVE_INFINITY));
  if (!Number.isFinite(last)) return null;
  const first = of?.from.age ?? ageOfShot(recipe, 1);
  const count = Math.min(MOST_AGES, Math.floor((last - first) / AGE_STEP + 1e-9) + 1);
  const ages = Array.from({ length: count }, (_, i) => first + i * AGE_STEP);
  return {
    temperatures_C: temperatures.map(kelvin => tidy(kelvin - 273.15)),
    ages_min: ages.map(age => tidy(age / 60)),
    dwell_s: plans.map((plan, t) =>
      ages.map(age =>
        plan === null || age > stops[t]! + 1e-6 ? null : dwellAt(recipe, { plan, age, from: of?.from }),
      ),
    ),
    stop_min: stops.map(stop => (stop === null ? null : tidy(stop / 60))),
  };
}

/** Every kelvin of the tolerance about the temperature of the process; that one alone without a tolerance; none for a course. */
function usualTemperatures({ process }: Recipe): number[] {
  const wanted = process?.temperature;
  if (wanted === undefined || 'profile' in wanted) return [];
  const reach = Math.min(MOST_KELVINS, Math.floor((wanted.tolerance?.halfWidth ?? 0) + 1e-9));
  return Array.from({ length: 2 * reach + 1 }, (_, i) => wanted.value + i - reach);
}

/** The exact dwell of a run at an age [s], rounded to the step of the station; null where nothing flows. */
export function dwellAt(
  recipe: Recipe,
  { plan, age, from }: { plan: RampPlan; age: number; from?: RunStart | undefined },
): number | null {
  const { delivery, aim, primeShots, fixed, limits } = plan;
  const startAt = (shot: number) => runStart(recipe, aim, primeShots, shot).dispensed;
  const late = from === undefined ? 0 : from.age - ageOfShot(recipe, from.shot);
  const used = from === undefined ? 0 : from.dispensed - startAt(from.shot); // by the check
  const dispensed = startAt(shotAtAge(recipe, age - late)) + used + aim.boreShot;
  const point = delivery.at({ age, dispensed }).result;
  const dwell = point?.dwellFor({ pressure: fixed, volume: aim.aim }) ?? null;
  return dwell === null ? null : gridValue(Math.round(dwell / limits.step), limits.step);
}

const tidy = (value: number) => Number(value.toPrecision(12));
