import { cavityBook } from '../analysis/cavity/cavity-book.ts';
import { inputKey, isQuantity, visitQuantities } from '../analysis/inputs/input-key.ts';
import { deviationAt, spreadModel, standardUncertainty } from '../analysis/inputs/spread-terms.ts';
import type { Connector, Deviation, Quantity, Recipe, Section } from '../recipe/schema/recipe.ts';
import type { RuleContext } from './rule-context.ts';

interface Window {
  readonly min: number;
  readonly aim: number;
  readonly max: number;
}

/** Step of the central differences over the standard uncertainty [-]. */
const DIFFERENCE_STEP = 0.01;

/**
 * Standard deviation [m³] of shot less aim from what no release can trim: the pressure and dwell of each shot, and the
 * sizes of each connector; first order. Null without a setting.
 *
 *   s² = Σ (∂V/∂x·u(x))² over accuracy and jitter + Σ (∂aim/∂x·u(x))² over the connector
 *
 * The connector's part is the sum of its upper bounds where that leaves the window wide enough already, for the exact
 * one takes two books of the cavity for every tolerance.
 * Source: JCGM 100:2008, 5.1.2. Evidence: hand derivatives of a plain connector.
 */
export function untrimmedSpread(context: RuleContext, window: Window): number | null {
  const shot = shotVariance(context);
  const { connector } = context.recipe;
  if (shot === null || connector === undefined) return null;
  const { inputs, bound } = connectorBound(connector);
  const most = Math.sqrt(shot + bound);
  if (6 * most <= window.max - window.min) return most;
  return Math.sqrt(shot + inputs.reduce((sum, input) => sum + aimChange(context.recipe, input) ** 2, 0));
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

interface Input {
  readonly key: string;
  readonly value: number;
  readonly u: number; // [SI]
}

interface ConnectorBound {
  readonly inputs: readonly Input[];
  /** Of the variance of the aim [m⁶]. */ readonly bound: number;
}

/** Recipes of a family share blocks, and a block of a recipe never changes. */
const BOUNDS = new WeakMap<Connector, ConnectorBound>();

function connectorBound(connector: Connector): ConnectorBound {
  const before = BOUNDS.get(connector);
  if (before !== undefined) return before;
  const inputs = connectorInputs(connector);
  const bound = inputs.reduce((sum, input) => sum + boundOf(connector, input) ** 2, 0);
  BOUNDS.set(connector, { inputs, bound });
  return { inputs, bound };
}

/** What differs from connector to connector, each dimension once. */
function connectorInputs({ cavity, cable, protrusion, allowance }: Connector): Input[] {
  const inputs = new Map<string, Input>();
  visitQuantities([cavity, cable, protrusion, allowance], quantity => {
    const { tolerance, value } = quantity;
    if (tolerance === undefined || tolerance.halfWidth === 0 || tolerance.per !== 'connector') return;
    const key = inputKey(quantity);
    inputs.set(key, { key, value, u: standardUncertainty(tolerance) });
  });
  return [...inputs.values()];
}

/**
 * Upper bound of the aim's change [m³] for one standard uncertainty: a diameter moves the wall of its section, in a cone
 * the seat as well; a length moves everything behind it; each counts once in the free volume and once in the bore shot.
 */
function boundOf({ cavity = [], cable = [], allowance, protrusion }: Connector, { key, value, u }: Input): number {
  const widest = Math.max(...cavity.map(s => Math.max(s.front.value, s.rear.value)));
  const area = (Math.PI / 4) * widest ** 2;
  const isThis = (quantity: Quantity) => inputKey(quantity) === key;
  let bound = isThis(protrusion) ? area : 0;
  for (const section of [...cavity, ...cable]) {
    if (isThis(section.length)) bound += area;
    if (isThis(section.front) || isThis(section.rear)) bound += wallBound(section, area);
  }
  const total = 2 * bound * (1 + allowance.value) * u;
  if (!isThis(allowance)) return total;
  const whole = cavity.reduce((sum, section) => sum + area * section.length.value, 0);
  return total + whole * (u / (1 + value));
}

function wallBound({ front, rear, length }: Section, area: number): number {
  const wall = (Math.PI / 2) * Math.max(front.value, rear.value) * length.value;
  const taper = Math.abs(rear.value - front.value);
  return wall + (taper > 0 ? (area * length.value) / taper : 0);
}

/** Change of the aim [m³] for one standard uncertainty, by central difference. */
function aimChange(recipe: Recipe, { key, u }: Input): number {
  const step = u * DIFFERENCE_STEP;
  const aims = [step, -step].map(shift => {
    const connector = shifted(recipe.connector, key, shift) as Connector;
    return cavityBook({ ...recipe, connector }).result?.backfill.aim ?? null;
  });
  const [above = null, below = null] = aims;
  return above === null || below === null ? 0 : (above - below) / (2 * DIFFERENCE_STEP);
}

/** The same tree with every leaf of one dimension moved. */
function shifted(node: unknown, key: string, shift: number): unknown {
  if (typeof node !== 'object' || node === null) return node;
  if (Array.isArray(node)) return node.map(item => shifted(item, key, shift));
  if (isQuantity(node)) return inputKey(node) === key ? { ...node, value: node.value + shift } : node;
  return Object.fromEntries(Object.entries(node).map(([name, value]) => [name, shifted(value, key, shift)]));
}
