import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inCelsius } from '../../diagnostics/number-words.ts';
import { arrheniusFactor } from '../../physics/cure/arrhenius.ts';
import { type CureCurve, cureCurve, type TemperatureProfile, temperatureAt } from '../../physics/cure/cure.ts';
import { measuredRange, type Rheology, thickened, yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { Recipe, Resin, RheologyBlock } from '../../recipe/schema/recipe.ts';
import { cureModel, cureModelFindings, temperatureFindings, temperatureProfile } from './cure-model.ts';
import { rheologyFindings, rheologyModel, withYield } from './rheology-model.ts';
import { slowed } from './slowed.ts';

export interface ResinConditions {
  /** Overrides `process.temperature` from mixing on [K]. */ readonly temperature?: number;
  /** Overrides `resin.lot_factor` [-]. */ readonly lotFactor?: number;
}

/** The resin at one age, as it goes through a needle. */
export interface ResinState {
  readonly age: number; // [s]
  readonly temperature: number; // [K]
  /** Viscosity now over viscosity at age 0, same temperature and lot [-]. */
  readonly viscosityFactor: number;
  /** With temperature, age, lot and calibration in it. */
  readonly rheology: Rheology;
  /** What {@link thickness} thickens to it: `mixed` of the course, but for a yield stress with an activation energy of its own. */
  readonly mixed: Rheology;
  /** Shear rates [1/s] between which the curve was measured, as they are now; null where the recipe does not say. */
  readonly measured: readonly [number, number] | null;
  /** Of every viscosity over that of `mixed` [-]. */ readonly thickness: number;
}

/** The resin of a recipe along its temperature course, ready for any age. */
export interface ResinCourse {
  readonly lotFactor: number;
  /** The resin as the recipe has it, calibrated: at its reference temperature, fresh, of the usual lot. */
  readonly mixed: Rheology;
  readonly temperature: TemperatureProfile;
  readonly cure: CureCurve;
  /** Last age at which it may be dispensed [s], inclusive; null where the cure model has no gel point. */
  readonly lastAge: number | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
  at(age: number): ResinState;
}

/**
 * The resin of a recipe at its temperature, lot and calibration.
 *
 *   viscosity × exp((E/R)(1/T − 1/T_ref)) × cure factor(age) × lot factor, then shear rates / calibration.viscosity_factor;
 *   a yield stress the same with `yield_activation_energy` for E, where there is one
 */
export function resinCourse(
  recipe: Recipe,
  conditions: ResinConditions = {},
  purpose = 'a shot',
): Outcome<ResinCourse> {
  const { resin } = recipe;
  if (resin?.rheology === undefined) return { result: null, findings: [blockMissing('resin.rheology', purpose)] };
  const base = rheologyModel(resin.rheology);
  const thickening = resinThickening(resin, recipe.process, conditions.temperature);
  const problems = [...rheologyFindings(base), ...thickening.findings];
  const ageing = thickening.result;
  if (ageing === null || problems.some(({ severity }) => severity === 'error')) {
    return { result: null, findings: problems.filter(({ severity }) => severity === 'error') };
  }

  const lotFactor = conditions.lotFactor ?? resin.lot_factor.value;
  const slower = recipe.calibration?.viscosity_factor.value ?? 1;
  const calibrated = slowed(base, slower);
  const mixedAt = mixedOf(resin, calibrated);
  const range = rangeOf(resin.rheology, base);
  const course: ResinCourse = {
    lotFactor,
    mixed: calibrated,
    temperature: ageing.temperature,
    cure: ageing.cure,
    lastAge: ageing.cure.lastAge,
    models: [`rheology ${base.model}`, `cure ${resin.cure.model}`],
    defaults: defaultsUsed(recipe, conditions),
    at: age => {
      const { temperature, viscosityFactor, temperatureFactor } = ageing.at(age);
      const factor = temperatureFactor * viscosityFactor * lotFactor;
      // What thickens a resin with a yield stress leaves its shear rates where they are; all else flows that much more slowly at a stress.
      const shift = slower * (yieldStressOf(base) > 0 ? 1 : factor);
      const measured = range === null ? null : ([range[0] / shift, range[1] / shift] as const);
      const mixed = mixedAt(temperature);
      let rheology: Rheology | null = null; // most shots of a run ask for their flow alone
      return {
        age,
        temperature,
        viscosityFactor,
        thickness: factor,
        mixed,
        measured,
        get rheology() {
          rheology ??= thickened(mixed, factor);
          return rheology;
        },
      };
    },
  };
  return { result: course, findings: problems };
}

/** The same object as long as the temperature stays, for what is worked out once for each. */
function mixedOf(resin: Resin, calibrated: Rheology): (temperature: number) => Rheology {
  if (resin.yield_activation_energy === undefined) return () => calibrated;
  let last: { temperature: number; mixed: Rheology } | null = null;
  return temperature => {
    if (last?.temperature !== temperature) {
      last = { temperature, mixed: withYield(calibrated, yieldOver(resin, temperature)) };
    }
    return last.mixed;
  };
}

/** What a temperature makes of the yield stress, over what it makes of the viscosity [-]. */
export function yieldOver(
  resin: Pick<Resin, 'activation_energy' | 'yield_activation_energy' | 'reference_temperature'>,
  temperature: number,
): number {
  if (resin.yield_activation_energy === undefined) return 1;
  const activationEnergy = resin.yield_activation_energy.value - (resin.activation_energy?.value ?? 0);
  const referenceTemperature = resin.reference_temperature.value;
  const over = Math.abs(activationEnergy);
  const factor = arrheniusFactor({ activationEnergy: over, temperature, referenceTemperature });
  return activationEnergy < 0 ? 1 / factor : factor;
}

/** Shear rates [1/s] of the measurement, at the reference temperature. */
function rangeOf(block: RheologyBlock, base: Rheology): readonly [number, number] | null {
  const given = 'measured' in block ? block.measured : undefined;
  return given === undefined ? measuredRange(base) : [given[0].value, given[1].value];
}

/** What temperature and age make of a resin, whatever its flow model. */
export interface ResinThickening {
  readonly temperature: TemperatureProfile;
  readonly cure: CureCurve;
  /** Temperature [K], viscosity over that at age 0, and that over the one at the reference temperature [-]. */
  at(age: number): { temperature: number; viscosityFactor: number; temperatureFactor: number };
}

/** A temperature [K] given stands in place of that of the process. */
export function resinThickening(
  resin: Resin,
  process: Recipe['process'],
  given?: number | undefined,
): Outcome<ResinThickening> {
  const ageing = cureModel(resin);
  const room = given ?? temperatureProfile(process);
  const problems = [...cureModelFindings(ageing), ...temperatureFindings(room)];
  if (problems.length === 0) problems.push(...farTemperatureFindings(resin, room));
  if (problems.length > 0) return { result: null, findings: problems };
  const temperature = room ?? resin.reference_temperature.value;
  const cure = cureCurve({ cure: ageing, temperature });
  const at = (age: number) => {
    const now = temperatureAt(temperature, age);
    return { temperature: now, viscosityFactor: cure.factor(age), temperatureFactor: temperatureFactor(resin, now) };
  };
  return { result: { temperature, cure, at }, findings: cureTemperatureFindings(resin, cure, temperature) };
}

/** Temperatures so far from the reference that the viscosity leaves the range of numbers. */
function farTemperatureFindings(resin: Resin, room: TemperatureProfile | null): Finding[] {
  const temperatures = room === null ? [] : typeof room === 'number' ? [room] : room.map(([, at]) => at);
  const far = temperatures.find(at => {
    const factors = [temperatureFactor(resin, at), yieldOver(resin, at)];
    return !factors.every(factor => factor > 1e-100 && factor < 1e100);
  });
  if (far === undefined) return [];
  const message = `at ${inCelsius(far)} no viscosity can be worked out from that at ${inCelsius(resin.reference_temperature.value)}`;
  return [deliveryFinding('temperature-invalid', 'process.temperature', message)];
}

function temperatureFactor(resin: Resin, temperature: number): number {
  if (resin.activation_energy === undefined) return 1;
  return arrheniusFactor({
    activationEnergy: resin.activation_energy.value,
    temperature,
    referenceTemperature: resin.reference_temperature.value,
  });
}

function defaultsUsed(recipe: Recipe, conditions: ResinConditions): string[] {
  const resin = recipe.resin!;
  const defaults: string[] = [];
  if (recipe.process?.temperature === undefined && conditions.temperature === undefined) {
    defaults.push(`process.temperature: resin.reference_temperature (${inCelsius(resin.reference_temperature.value)})`);
  }
  if (resin.activation_energy === undefined) {
    defaults.push('resin.activation_energy: none, so the viscosity does not move with temperature');
  }
  if (resin.cure.model === 'none') defaults.push('resin.cure: none, so the viscosity does not move with age');
  return defaults;
}

/** Differences of temperature below this do not matter [K]. */
const SAME_TEMPERATURE = 0.01;

function cureTemperatureFindings(resin: Resin, cure: CureCurve, temperature: TemperatureProfile): Finding[] {
  if (!cure.ignoresTemperature) return [];
  const reference = (resin.cure.reference_temperature ?? resin.reference_temperature).value;
  const temperatures = typeof temperature === 'number' ? [temperature] : temperature.map(([, at]) => at);
  const away = temperatures.find(at => Math.abs(at - reference) > SAME_TEMPERATURE);
  if (away === undefined) return [];
  const potLife = resin.cure.model === 'pot-life';
  const message =
    `the ${potLife ? 'pot life' : 'cure table'} is for ${inCelsius(reference)} and used at ${inCelsius(away)} as it is: ` +
    (potLife ? 'it has no activation energy' : 'a table does not know how temperature moves it');
  return [deliveryFinding('cure-temperature', 'resin.cure', message)];
}
