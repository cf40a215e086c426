import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { findRoot } from '../../numeric/root.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type Delivery, type OperatingPoint, prepareDelivery, type Setting } from '../delivery/operating-point.ts';

/** When a shot is made. */
export interface ShotMoment {
  readonly age: number; // [s]
  /** What has left the syringe before [m³]. */ readonly dispensed: number;
}

/**
 * How one syringe flows. Its thickness is its lot factor over that of the recipe: it stands for whatever makes its flow
 * differ by one factor, so that 1 is a syringe that does what the recipe says, at any age.
 */
export interface SyringeModel {
  /** The recipe has a flow model; without one a shot is in proportion to the dwell. */
  readonly flows: boolean;
  /** What the recipe says of a moment. */
  readonly point: (moment: ShotMoment) => Outcome<OperatingPoint>;
  /** Shot [m³] of a setting at a thickness and a moment; zero where nothing flows. */
  readonly deliver: (thickness: number, moment: ShotMoment, setting: Setting) => number;
  /** The same for many dwells [s] of one thickness, moment and pressure [Pa], which share much. */
  readonly overDwell: (thickness: number, moment: ShotMoment, pressure: number) => (dwell: number) => number;
  /** The dwell [s] that delivers a volume [m³]; null where none does. */
  readonly dwellFor: (
    thickness: number,
    moment: ShotMoment,
    wanted: { pressure: number; volume: number },
  ) => number | null;
  /** The thickness at which a setting delivers a volume [m³] at a moment; null where none does. */
  readonly thicknessOf: (volume: number, moment: ShotMoment, setting: Setting) => number | null;
}

/** A recipe's syringe at a temperature [K], default the recipe's. */
export function syringeModel(recipe: Recipe, given: { readonly temperature?: number }): Outcome<SyringeModel> {
  const own = prepareDelivery(recipe, given, 'a release');
  if (own.result === null) return { result: null, findings: own.findings };
  const { lotFactor } = own.result.course;
  const known = new Map<number, Delivery | null>([[1, own.result]]);
  const deliveryAt = (thickness: number): Delivery | null => {
    let delivery = known.get(thickness);
    if (delivery === undefined) {
      delivery = prepareDelivery(recipe, { ...given, lotFactor: lotFactor * thickness }).result;
      known.set(thickness, delivery);
    }
    return delivery;
  };
  const pointAt = (thickness: number, moment: ShotMoment) => deliveryAt(thickness)?.at(moment).result ?? null;
  const deliver: SyringeModel['deliver'] = (thickness, moment, setting) =>
    pointAt(thickness, moment)?.deliver(setting).volume ?? 0;
  const model: SyringeModel = {
    flows: true,
    point: moment => own.result!.at(moment),
    deliver,
    overDwell: (thickness, moment, pressure) => {
      const point = pointAt(thickness, moment);
      return dwell => point?.deliver({ pressure, dwell }).volume ?? 0;
    },
    dwellFor: (thickness, moment, wanted) => pointAt(thickness, moment)?.dwellFor(wanted) ?? null,
    thicknessOf: (volume, moment, setting) =>
      fallingRoot(thickness => deliver(thickness, moment, setting) / volume - 1),
  };
  return { result: model, findings: own.findings };
}

/** Syringes this much thicker or thinner than the recipe are not looked for [-]. */
const RANGE = 1e3;

/**
 * The thickness at which a falling function is zero, or null where it is not within {@link RANGE}. A shot is nearly in
 * proportion to 1/thickness, and in the plainest case is just that, so 1 + f(1) is where the search begins.
 */
function fallingRoot(f: (thickness: number) => number): number | null {
  const guess = Math.min(RANGE, Math.max(1 / RANGE, 1 + f(1)));
  const miss = f(guess);
  if (Math.abs(miss) < 1e-12) return guess;
  const up = miss > 0;
  let near = guess;
  let far = guess;
  for (let step = 1.02; f(far) > 0 === up; step *= step) {
    near = far;
    far = up ? far * step : far / step;
    if (far > RANGE || far < 1 / RANGE) return null;
  }
  const root = findRoot(logarithm => f(Math.exp(logarithm)), Math.log(near), Math.log(far), { absolute: 1e-12 });
  return Math.exp(root);
}

/**
 * The syringe of a recipe without a flow model: its shot is in proportion to the dwell and does not move with age. Its
 * thickness is taken about a syringe of which a dwell [s] delivers a volume [m³].
 */
export function proportionalSyringe({ dwell, volume }: { dwell: number; volume: number }): SyringeModel {
  const none: readonly Finding[] = [];
  return {
    flows: false,
    point: () => ({ result: null, findings: none }),
    deliver: (thickness, _, setting) => (volume * setting.dwell) / dwell / thickness,
    overDwell: thickness => set => (volume * set) / dwell / thickness,
    dwellFor: (thickness, _, wanted) => (dwell * wanted.volume * thickness) / volume,
    thicknessOf: (measured, _, setting) => (volume * setting.dwell) / dwell / measured,
  };
}
