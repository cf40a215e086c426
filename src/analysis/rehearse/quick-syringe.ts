import { findRoot } from '../../numeric/root.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type OperatingPoint, prepareDelivery } from '../delivery/operating-point.ts';
import { resinThickening } from '../delivery/resin-course.ts';
import type { ShotLeft } from '../release/shots-left.ts';
import type { SyringeModel } from '../release/syringe-model.ts';
import { type ChebyshevGrid, chebyshevGrid, type GridAxis } from './chebyshev-grid.ts';

/** Syringes this much thicker or thinner than the recipe are worked out one by one [-]. */
const THICKNESS = { low: 0.4, high: 2.5 };
/** Dwells this far beyond those of the program are, too [-]. */
const DWELL = { low: 0.35, high: 2.8 };
/** Nodes by what an axis has to follow; along the dwell more where those do not do, since filling that ends within it bends the shot. */
const NODES = { thickness: 18, dwell: [12, 24, 48], dispensed: 5 };
/** Wanted agreement with the model at the places between nodes that are tried [-]. */
const WANTED = 3e-4;
const TRIED = [0.07, 0.31, 0.52, 0.73, 0.94];

/**
 * A recipe's syringe for thousands of checks and runs of one pressure. Age, temperature, lot and thickness all scale the resin's
 * consistency, so a shot is a function of three numbers.
 *
 *   V = V(thickness·f(age)/f(first age), dispensed, dwell),  f viscosity over that when mixed at the reference temperature
 *   Newtonian: V in proportion to 1/thickness; ideal air: to the open time, whatever was dispensed
 *
 * What is not in proportion is interpolated in ln V to {@link WANTED}; null where that does not do. Outside the range
 * the model itself is asked.
 * Evidence: tests compare with `syringeModel` on every demo recipe.
 */
export function quickSyringe(
  recipe: Recipe,
  model: SyringeModel,
  { pressure, shots, dwells }: { pressure: number; shots: readonly ShotLeft[]; dwells: readonly number[] },
): SyringeModel | null {
  const { resin, station, calibration } = recipe;
  const thickening = resin === undefined ? null : resinThickening(resin, recipe.process).result;
  const first = shots[0];
  if (thickening === null || first === undefined) return null;
  // then a resin of another age is no longer one of another thickness
  if (resin?.yield_activation_energy !== undefined && Array.isArray(thickening.temperature)) return null;
  const ages = new Map<number, number>();
  const consistency = (age: number) => {
    let known = ages.get(age);
    if (known === undefined) {
      const { viscosityFactor, temperatureFactor } = thickening.at(age);
      known = viscosityFactor * temperatureFactor;
      ages.set(age, known);
    }
    return known;
  };
  const start = consistency(first.age);
  const courses = shots.map(({ age }) => consistency(age) / start);
  const deadTime = calibration?.dead_time.value ?? 0;
  const newtonian = resin?.rheology?.model === 'newtonian';
  const ideal = station === undefined || station.air.model === 'ideal';
  const full = station?.air.model === 'iso6358';
  const spans = {
    thickness: [THICKNESS.low * Math.min(...courses), THICKNESS.high * Math.max(...courses)].map(Math.log),
    dispensed: [0, Math.max(...shots.map(({ dispensed }) => dispensed))],
    dwell: [DWELL.low * Math.min(...dwells), DWELL.high * Math.max(...dwells)].map(Math.log),
  };
  const axis = ([low, high]: number[], nodes: number) => ({ low: low!, high: high!, nodes });
  const axesWith = (dwellNodes: number): Axes => [
    axis(newtonian ? [0, 0] : spans.thickness, newtonian ? 1 : NODES.thickness),
    axis(full ? spans.dispensed : [first.dispensed, first.dispensed], full ? NODES.dispensed : 1),
    axis(ideal ? [Math.log(dwells[0]!), Math.log(dwells[0]!)] : spans.dwell, ideal ? 1 : dwellNodes),
  ];
  const pointAt = oneKept((x: number, dispensed: number) => {
    const lotFactor = (resin?.lot_factor.value ?? 1) * Math.exp(x);
    return prepareDelivery(recipe, { lotFactor }).result?.at({ age: first.age, dispensed }).result ?? null;
  });
  const exact = (x: number, dispensed: number, y: number) => {
    const dwell = Math.exp(y);
    const volume = pointAt(x, dispensed)?.deliver({ pressure, dwell }).volume ?? 0;
    return Math.log((volume * Math.exp(x)) / Math.max(0, dwell - deadTime));
  };
  const axes = axesWith(NODES.dwell[0]!);
  const grid = agreeingGrid(exact, ideal ? [axes] : NODES.dwell.map(axesWith));
  if (grid === null) return null;
  const plain = newtonian && ideal ? grid.at(0, 0, 0) : null;
  const rate = plain === null ? null : Math.exp(plain);
  const inside = (i: 0 | 1 | 2, place: number) =>
    axes[i].nodes === 1 || (place >= axes[i].low && place <= axes[i].high);
  const deliver: SyringeModel['deliver'] = (thickness, moment, setting) => {
    const open = setting.dwell - deadTime;
    const x = (thickness * consistency(moment.age)) / start;
    if (setting.pressure !== pressure) return model.deliver(thickness, moment, setting);
    if (open <= 0) return 0;
    if (rate !== null) return (rate * open) / x;
    const [a, c] = [Math.log(x), Math.log(setting.dwell)];
    if (!inside(0, a) || !inside(1, moment.dispensed) || !inside(2, c)) {
      return model.deliver(thickness, moment, setting);
    }
    return (Math.exp(grid.at(a, moment.dispensed, c)) * open) / x;
  };
  const overDwell: SyringeModel['overDwell'] = (thickness, moment, set) => {
    const x = (thickness * consistency(moment.age)) / start;
    const a = Math.log(x);
    const one = (dwell: number) => deliver(thickness, moment, { pressure: set, dwell });
    if (set !== pressure || rate !== null || !inside(0, a) || !inside(1, moment.dispensed)) return one;
    const line = grid.along(a, moment.dispensed);
    return dwell => {
      const c = Math.log(dwell);
      return inside(2, c) && dwell > deadTime ? (Math.exp(line(c)) * (dwell - deadTime)) / x : one(dwell);
    };
  };
  return {
    ...model,
    deliver,
    overDwell,
    dwellFor: (thickness, moment, wanted) => {
      if (wanted.pressure !== pressure) return model.dwellFor(thickness, moment, wanted);
      if (ideal) {
        const one = deliver(thickness, moment, { pressure, dwell: deadTime + 1 });
        return one > 0 ? deadTime + wanted.volume / one : null;
      }
      const at = overDwell(thickness, moment, pressure);
      const [low, high] = spans.dwell.map(Math.exp) as [number, number];
      return rootOr(dwell => at(dwell) / wanted.volume - 1, low, high) ?? model.dwellFor(thickness, moment, wanted);
    },
    thicknessOf: (volume, moment, setting) => {
      if (newtonian) {
        const one = deliver(1, moment, setting);
        return one > 0 ? one / volume : null;
      }
      const miss = (logarithm: number) => deliver(Math.exp(logarithm), moment, setting) / volume - 1;
      const found = rootOr(miss, Math.log(THICKNESS.low), Math.log(THICKNESS.high));
      return found === null ? model.thicknessOf(volume, moment, setting) : Math.exp(found);
    },
  };
}

/** Of neighbouring calls the last point is kept: it has learnt its flow. */
function oneKept(make: (x: number, dispensed: number) => OperatingPoint | null) {
  let last: { x: number; dispensed: number; point: OperatingPoint | null } | null = null;
  return (x: number, dispensed: number) => {
    if (last?.x !== x || last.dispensed !== dispensed) last = { x, dispensed, point: make(x, dispensed) };
    return last.point;
  };
}

/** A root between two places, to a ten-millionth; null where there is none. */
function rootOr(f: (x: number) => number, low: number, high: number): number | null {
  return f(low) > 0 === f(high) > 0 ? null : findRoot(f, low, high, { relative: 1e-8, absolute: 1e-9 });
}

type Axes = readonly [GridAxis, GridAxis, GridAxis];
type OfThree = (x: number, y: number, z: number) => number;

/** On the first of some axes that follow a function to {@link WANTED}; null where none does. */
function agreeingGrid(exact: OfThree, tried: readonly Axes[]): ChebyshevGrid | null {
  for (const axes of tried) {
    const grid = chebyshevGrid(exact, axes);
    if (grid === null || agrees(exact, grid.at, axes)) return grid;
  }
  return null;
}

/** Tried where the dearest mistakes are: between nodes, along the diagonals of the grid. */
function agrees(exact: OfThree, grid: OfThree, axes: Axes): boolean {
  return TRIED.every((t, k) => {
    const place = (i: number) => {
      const share = i === 0 ? t : TRIED[(k * (i + 1)) % TRIED.length]!;
      return axes[i]!.low + share * (axes[i]!.high - axes[i]!.low);
    };
    const at = [place(0), place(1), place(2)] as const;
    return Math.abs(exact(...at) - grid(...at)) <= WANTED;
  });
}
