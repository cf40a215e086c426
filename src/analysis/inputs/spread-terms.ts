import type { Outcome } from '../../diagnostics/finding.ts';
import type { Deviation, Per, Recipe, Tolerance } from '../../recipe/schema/recipe.ts';
import {
  type Conditions,
  type OperatingPoint,
  operatingPoint,
  prepareDelivery,
  type Setting,
} from '../delivery/operating-point.ts';
import { inputKey, isQuantity, visitQuantities } from './input-key.ts';
import { replacedPriors } from './replaced-priors.ts';

/** What makes one shot differ from the next, or one syringe, needle or lot from the next. */
export type SpreadCause =
  | 'pressure accuracy'
  | 'dwell jitter'
  | 'air transient'
  | 'emptying syringe'
  | 'needle'
  | 'temperature'
  | 'lot'
  | 'syringe'
  | 'calibration';

export interface SpreadTerm {
  readonly cause: SpreadCause;
  /** Key of the recipe that the deviation stands at, or null for a bound of the model. */
  readonly path: string | null;
  /** Standard uncertainty of the shot from this cause over the shot [-]. */
  readonly relative: number;
}

/** Predicted spread of the shot for any setting, with the recipe prepared once. */
export interface SpreadModel {
  terms(setting: Setting): readonly SpreadTerm[];
  /** Root of the sum of squares of the terms [-]. */
  relative(setting: Setting): number;
  /**
   * The same of what changes from shot to shot: what a trim of each syringe, or a ramp, does not take out [-]. A search knows
   * the volume of its settings [m³].
   */
  fromShotToShot(setting: Setting & { readonly volume?: number }): number;
}

/** Step of the central differences over the standard uncertainty [-]: small against curvature, large against rounding. */
const DIFFERENCE_STEP = 0.01;

/** Standard uncertainty of a tolerance: half-width/√3, /√6 or /coverage for uniform, triangular and normal. */
export function standardUncertainty(tolerance: Tolerance): number {
  switch (tolerance.distribution) {
    case 'uniform':
      return tolerance.halfWidth / Math.sqrt(3);
    case 'triangular':
      return tolerance.halfWidth / Math.sqrt(6);
    case 'normal':
      return tolerance.halfWidth / tolerance.coverage;
  }
}

/** How far off a station may be of what is set [SI]. */
export function deviationAt({ value, relative, distribution, coverage, per }: Deviation, set: number): Tolerance {
  return { halfWidth: relative === true ? value * set : value, distribution, coverage, per };
}

interface Pair {
  readonly cause: SpreadCause;
  readonly per: Per;
  readonly path: string;
  readonly plus: OperatingPoint;
  readonly minus: OperatingPoint;
}

/**
 * The predicted relative spread of the shot, first order (JCGM 100, 5.1.2): each input's standard uncertainty times the
 * sensitivity of the volume by central difference, over the volume; causes independent.
 *
 * Counted: accuracy of the pressure and jitter of the dwell; every tolerance of needle, resin, temperature, syringe, air
 * and calibration; and with an air valve, as uniform between their ends, the model's own bound (isothermal to adiabatic)
 * and the drift from a full to a nearly empty syringe.
 */
export function spreadModel(recipe: Recipe, conditions: Conditions = {}): Outcome<SpreadModel> {
  const delivery = prepareDelivery(recipe, conditions, 'the predicted spread');
  if (delivery.result === null) return { result: null, findings: delivery.findings };
  const start = delivery.result.at(conditions);
  if (start.result === null) return { result: null, findings: [...delivery.findings, ...start.findings] };
  const point = start.result;
  const pairs = inputPairs(delivery.result.recipe, conditions);
  const ends = delivery.result.syringeEnds().map(dispensed => delivery.result!.at({ ...conditions, dispensed }).result);
  const drifting = ends.filter(end => end !== null);
  const terms = (setting: Setting): SpreadTerm[] => {
    const nominal = point.deliver(setting).volume;
    if (!(nominal > 0)) return [];
    return [
      ...settingTerms(recipe, point, { setting, nominal }),
      ...inputTerms(pairs, { setting, nominal }),
      ...airTerms(point, drifting, { setting, nominal }),
    ];
  };
  const relative = kept(setting => Math.hypot(...terms(setting).map(term => term.relative)));
  const shotPairs = pairs.filter(({ per }) => per === 'shot' || per === 'connector');
  const fromShotToShot = kept((setting: Setting & { readonly volume?: number }) => {
    const nominal = setting.volume ?? point.deliver(setting).volume;
    if (!(nominal > 0)) return 0;
    const given = { setting, nominal };
    const made = [...settingTerms(recipe, point, given, isOfShot(recipe)), ...inputTerms(shotPairs, given)];
    return Math.hypot(...made.map(term => term.relative));
  });
  return {
    result: { terms, relative, fromShotToShot },
    findings: [...delivery.findings, ...start.findings],
  };
}

/** A search looks at its best settings more than once. */
function kept<S extends Setting>(make: (setting: S) => number): (setting: S) => number {
  const known = new Map<string, number>();
  return setting => {
    const key = `${setting.pressure} ${setting.dwell}`;
    const value = known.get(key) ?? make(setting);
    known.set(key, value);
    return value;
  };
}

/** A setting and what it delivers as the recipe stands [m³]. */
interface Nominal {
  readonly setting: Setting;
  readonly nominal: number;
}

function inputTerms(pairs: readonly Pair[], { setting, nominal }: Nominal): SpreadTerm[] {
  return pairs.map(({ cause, path, plus, minus }) => {
    const difference = plus.deliver(setting).volume - minus.deliver(setting).volume;
    return { cause, path, relative: Math.abs(difference) / (2 * DIFFERENCE_STEP) / nominal };
  });
}

/** Whether what the station does not hold is another from shot to shot. */
function isOfShot({ station }: Recipe): (key: 'pressure' | 'dwell') => boolean {
  return key => {
    const per = key === 'dwell' ? station?.dwell?.jitter?.per : station?.pressure?.accuracy?.per;
    return per === 'shot' || per === 'connector';
  };
}

/** What the station does not hold exactly. */
function settingTerms(
  recipe: Recipe,
  point: OperatingPoint,
  { setting, nominal }: Nominal,
  wanted: (key: 'pressure' | 'dwell') => boolean = () => true,
): SpreadTerm[] {
  const { pressure, dwell } = recipe.station ?? {};
  const term = (key: 'pressure' | 'dwell', deviation: Deviation | undefined, cause: SpreadCause): SpreadTerm[] => {
    if (deviation === undefined || deviation.value === 0 || !wanted(key)) return [];
    const u = standardUncertainty(deviationAt(deviation, setting[key]));
    const step = Math.min(u * DIFFERENCE_STEP, setting[key] / 2);
    const at = (value: number) => point.deliver({ ...setting, [key]: value }).volume;
    const slope = Math.abs(at(setting[key] + step) - at(setting[key] - step)) / (2 * step);
    return [{ cause, path: deviation.path, relative: (slope * u) / nominal }];
  };
  return [
    ...term('pressure', pressure?.accuracy, 'pressure accuracy'),
    ...term('dwell', dwell?.jitter, 'dwell jitter'),
  ];
}

/** Bound and drift of a shot through an air valve, each read as uniform between its ends. */
function airTerms(point: OperatingPoint, ends: readonly OperatingPoint[], { setting, nominal }: Nominal): SpreadTerm[] {
  const bound = point.bound(setting);
  if (bound === null) return [];
  const uniform = (volumes: readonly number[]) =>
    (Math.max(...volumes) - Math.min(...volumes)) / 2 / Math.sqrt(3) / nominal;
  const terms: SpreadTerm[] = [{ cause: 'air transient', path: null, relative: uniform(bound) }];
  const drift = ends.map(end => end.deliver(setting).volume);
  if (drift.length > 1)
    terms.push({ cause: 'emptying syringe', path: 'station.syringe.fill', relative: uniform(drift) });
  return terms;
}

/** The delivery with each toleranced input a small step above and below its value. */
function inputPairs(recipe: Recipe, conditions: Conditions): Pair[] {
  return tolerancedInputs(recipe).flatMap(input => {
    const step = standardUncertainty(input.tolerance) * DIFFERENCE_STEP;
    const [plus, minus] = [step, -step].map(shift => {
      const [there, then] = moved(recipe, conditions, input, shift);
      return operatingPoint(there, then, 'the predicted spread').result;
    });
    return plus && minus
      ? [{ cause: causeOf(input.path), per: input.tolerance.per, path: input.path, plus, minus }]
      : [];
  });
}

/** A step on an input: on the recipe, or on the condition that stands in its place. */
function moved(recipe: Recipe, conditions: Conditions, input: Input, shift: number): [Recipe, Conditions] {
  if (input.path === 'process.temperature' && conditions.temperature !== undefined) {
    return [recipe, { ...conditions, temperature: conditions.temperature + shift }];
  }
  if (input.path === 'resin.lot_factor' && conditions.lotFactor !== undefined) {
    return [recipe, { ...conditions, lotFactor: conditions.lotFactor + shift }];
  }
  return [shifted(recipe, input.key, shift), conditions];
}

function causeOf(path: string): SpreadCause {
  if (path.startsWith('needle')) return 'needle';
  if (path.startsWith('process.temperature')) return 'temperature';
  if (path.startsWith('station.air')) return 'air transient';
  if (path.startsWith('station')) return 'syringe';
  return path.startsWith('calibration') ? 'calibration' : 'lot';
}

interface Input {
  /** What moves together: one place in the text. */
  readonly key: string;
  readonly path: string;
  readonly tolerance: Tolerance;
}

/** Inputs of the shot that have a tolerance, each dimension once, in the order of the recipe. */
function tolerancedInputs(recipe: Recipe): Input[] {
  const seen = new Map<string, Input>();
  const { needle, resin, station, process, calibration } = recipe;
  const shotInputs = [
    needle,
    [resin?.rheology, resin?.reference_temperature, resin?.activation_energy, resin?.lot_factor, resin?.cure],
    [station?.air, station?.syringe],
    process?.temperature,
    calibration,
  ];
  const replaced = replacedPriors(recipe);
  visitQuantities(shotInputs, quantity => {
    const { tolerance } = quantity;
    if (tolerance === undefined || tolerance.halfWidth === 0 || replaced(quantity, tolerance)) return;
    const key = inputKey(quantity);
    if (!seen.has(key)) seen.set(key, { key, path: quantity.path, tolerance });
  });
  return [...seen.values()];
}

/** The recipe with one dimension moved, wherever it stands. */
function shifted(recipe: Recipe, key: string, shift: number): Recipe {
  const copy = (node: unknown): unknown => {
    if (typeof node !== 'object' || node === null) return node;
    if (Array.isArray(node)) return node.map(copy);
    if (isQuantity(node)) return inputKey(node) === key ? { ...node, value: node.value + shift } : node;
    return Object.fromEntries(Object.entries(node).map(([name, item]) => [name, copy(item)]));
  };
  return copy(recipe) as Recipe;
}
