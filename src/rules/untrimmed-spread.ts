import { connectorInputs } from '../analysis/inputs/connector-inputs.ts';
import { connectorWindow, FIT, OUT } from '../analysis/inputs/connector-window.ts';
import { visitQuantities } from '../analysis/inputs/input-key.ts';
import { makeSlots } from '../analysis/inputs/slot.ts';
import { deviationAt, spreadModel, standardUncertainty } from '../analysis/inputs/spread-terms.ts';
import type { Connector, Deviation, Quantity, Recipe } from '../recipe/schema/recipe.ts';
import type { RuleContext } from './rule-context.ts';

/** Step of the central differences over the standard uncertainty [-]. */
const DIFFERENCE_STEP = 0.01;

/**
 * Standard deviation [m³] of shot less aim from what no release can trim: the pressure and dwell of each shot, and the
 * sizes of each connector; first order. Null without a setting.
 *
 *   s² = Σ (∂V/∂x·u(x))² over accuracy and jitter + Σ (∂aim/∂x·u(x))² over the connector
 *
 * Source: JCGM 100:2008, 5.1.2. Evidence: hand derivatives of a plain connector.
 */
export function untrimmedSpread(context: RuleContext): number | null {
  const shot = shotVariance(context);
  const { connector } = context.recipe;
  if (shot === null || connector === undefined) return null;
  return Math.sqrt(shot + aimVariance(connector, context.book.result?.outside ?? null));
}

/** [m⁶] */
function shotVariance({ recipe, start, setting, startShot }: RuleContext): number | null {
  const point = start.result;
  if (point === null || setting === null || startShot === null || !(startShot.volume > 0)) return null;
  const { pressure, dwell } = recipe.station ?? {};
  const part = (key: 'pressure' | 'dwell', half: Deviation | undefined) => {
    if (half === undefined || half.value === 0 || half.per !== 'shot') return 0;
    const u = standardUncertainty(deviationAt(half, setting[key]));
    const step = Math.min(u * DIFFERENCE_STEP, setting[key] / 2);
    const at = (value: number) => point.deliver({ ...setting, [key]: value }).volume;
    return (((at(setting[key] + step) - at(setting[key] - step)) / (2 * step)) * u) ** 2;
  };
  const others = changesByShot(recipe) ? (spreadModel(recipe).result?.fromShotToShot(setting) ?? 0) : 0;
  return Math.max(
    (others * startShot.volume) ** 2,
    part('pressure', pressure?.accuracy) + part('dwell', dwell?.jitter),
  );
}

/** Whether anything beside the set pressure and dwell is said to change from shot to shot. */
function changesByShot({ needle, resin, station, process, calibration }: Recipe): boolean {
  let found = false;
  visitQuantities(
    [
      needle,
      resin?.rheology,
      resin?.lot_factor,
      resin?.cure,
      station?.air,
      station?.syringe,
      process?.temperature,
      calibration,
    ],
    ({ tolerance }) => {
      if (tolerance?.per === 'shot' && tolerance.halfWidth > 0) found = true;
    },
  );
  return found;
}

/** Variance of the aim [m⁶] from what differs from connector to connector, by central differences. */
function aimVariance(connector: Connector, outside: Quantity | null): number {
  const inputs = connectorInputs(connector);
  const slots = makeSlots(inputs);
  const evaluate = connectorWindow(connector, outside, slots);
  if (evaluate === null) return 0;
  const deviations = new Float64Array(inputs.length + 1);
  const out = new Float64Array(OUT.length);
  const aimAt = (i: number, deviation: number) => {
    deviations[i] = deviation;
    const fit = evaluate(deviations, out);
    deviations[i] = 0;
    return fit === FIT.noSeat ? null : out[OUT.aim]!;
  };
  let variance = 0;
  for (const [i, { per, paths, uncertainty }] of inputs.entries()) {
    if (per !== 'connector' || paths.every(path => path.startsWith('connector.reach'))) continue;
    const above = aimAt(i, uncertainty * DIFFERENCE_STEP);
    const below = aimAt(i, -uncertainty * DIFFERENCE_STEP);
    if (above !== null && below !== null) variance += ((above - below) / (2 * DIFFERENCE_STEP)) ** 2;
  }
  return variance;
}
