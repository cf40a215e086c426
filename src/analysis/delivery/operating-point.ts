import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inMillilitres, inSeconds, inWords, shortened } from '../../diagnostics/number-words.ts';
import { OverflowError } from '../../numeric/domain-error.ts';
import { atMost } from '../../numeric/limits.ts';
import { findRoot } from '../../numeric/root.ts';
import { type AirPulse, type AirPulseInput, boundVolumes, makeAirPulse } from '../../physics/air/air.ts';
import { frustumVolume } from '../../physics/cavity/cavity.ts';
import { makeNeedle, type NeedleFlow, type NeedleShape } from '../../physics/flow/needle-flow.ts';
import type { Rheology } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { airModel, airModelFindings, stationAirVolume } from './air-model.ts';
import { ageFindings } from './cure-model.ts';
import { type FlowThrough, flowThrough, once } from './flow-through.ts';
import { type ResolvedNeedle, resolveNeedle } from './needle.ts';
import { type ResinConditions, type ResinCourse, resinCourse } from './resin-course.ts';

/** Under which circumstances a shot is made; what is left out comes from the recipe. */
export interface Conditions extends ResinConditions, Moment {}

export interface Moment {
  /** Age of the resin [s], default `process.ready_after`. */ readonly age?: number | undefined;
  /** What has left the syringe before [m³], default 0: a full syringe. */ readonly dispensed?: number | undefined;
}

export interface Setting {
  readonly pressure: number; // [Pa] gauge, as set
  readonly dwell: number; // [s]
}

export interface Delivered {
  /** All that leaves, the tail after the dwell included [m³]. */ readonly volume: number;
  /** What of it leaves after the end of the dwell [m³]. */ readonly ooze: number;
}

/** What a setting delivers at one age and one fill of the syringe. */
export interface OperatingPoint {
  readonly age: number; // [s]
  readonly temperature: number; // [K]
  readonly viscosityFactor: number;
  readonly lotFactor: number;
  readonly dispensed: number; // [m³]
  readonly rheology: Rheology;
  /** Shear rates [1/s] between which the flow curve was measured; null where the recipe does not say. */
  readonly measured: readonly [number, number] | null;
  readonly needle: ResolvedNeedle;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
  /** Set pressure less calibration offset and plunger friction: what drives the resin, steady [Pa]; may be below zero. */
  netPressure(pressure: number): number;
  /** Everything about the steady flow at a set pressure; without a density [kg/m³] what depends on it says nothing. */
  steady(pressure: number, density: number | null): NeedleFlow;
  /** Steady flow at a set pressure [m³/s]. */
  steadyFlow(pressure: number): number;
  /** Set pressure at and below which nothing flows [Pa]. */
  readonly restPressure: number;
  /** Dwell less calibrated dead time, not below zero [s]. */
  openTime(dwell: number): number;
  deliver(setting: Setting): Delivered;
  /** Dwell that delivers a volume [s]; null where nothing flows. */
  dwellFor(wanted: { pressure: number; volume: number }): number | null;
  /** Pressure that delivers a volume [Pa]; null where none up to `MOST_PRESSURE` does. */
  pressureFor(wanted: { dwell: number; volume: number }): number | null;
  /** The shot for isothermal and adiabatic air, smaller first [m³]; null for air models without that question. */
  bound(setting: Setting): readonly [number, number] | null;
}

/** A recipe prepared for any age and fill. */
export interface Delivery {
  /** The recipe with the needle's bore filled in. */
  readonly recipe: Recipe;
  readonly course: ResinCourse;
  readonly needle: ResolvedNeedle;
  at(moment: Moment): Outcome<OperatingPoint>;
  /** Dispensed volumes of a full, a half empty and a nearly empty syringe [m³]; empty where the recipe has no fill. */
  syringeEnds(): readonly number[];
}

/** A flow beyond this is a flow model gone wrong, and the variance of its shots no number [m³/s]. */
const MOST_FLOW = 1e100;

/** No hand-held syringe sees more; the search for a pressure ends here [Pa]. */
const MOST_PRESSURE = 1e8;

/** What a recipe delivers at one moment: {@link prepareDelivery} and its `at` in one. */
export function operatingPoint(
  recipe: Recipe,
  conditions: Conditions = {},
  purpose = 'a shot',
): Outcome<OperatingPoint> {
  const delivery = prepareDelivery(recipe, conditions, purpose);
  if (delivery.result === null) return { result: null, findings: delivery.findings };
  const point = delivery.result.at(conditions);
  return { result: point.result, findings: [...delivery.findings, ...point.findings] };
}

/**
 * The one place where a recipe becomes what a setting delivers: rheology at temperature, age, lot and calibration,
 * through the resolved needle, driven by the air model less plunger friction.
 *
 *   V = ∫ Q(p(t) − friction) dt with p set to pressure − calibration.pressure_offset for dwell − calibration.dead_time
 *
 * The needle's flow is divided by calibration.viscosity_factor (see `slowed`).
 */
export function prepareDelivery(
  recipe: Recipe,
  conditions: ResinConditions = {},
  purpose = 'a shot',
): Outcome<Delivery> {
  const needle = resolveNeedle(recipe);
  const course = resinCourse(recipe, conditions, purpose);
  const air = airSupply(recipe);
  const findings = [...needle.findings, ...course.findings, ...air.findings];
  if (needle.result === null || course.result === null || air.result === null) return { result: null, findings };
  const parts: Parts = {
    recipe,
    needle: needle.result,
    course: course.result,
    air: air.result,
    flowing: flowThrough(needleShape(needle.result)),
    models: [...course.result.models, `air ${air.result.model.model}`, ...calibrationModel(recipe)],
    defaults: [...course.result.defaults, ...needleDefaults(needle.result), ...air.result.defaults],
  };
  const delivery: Delivery = {
    recipe: withBore(recipe, parts.needle),
    course: parts.course,
    needle: parts.needle,
    at: moment => pointAt(parts, moment),
    syringeEnds: () => {
      const syringe = recipe.station?.syringe;
      if (syringe === undefined) return [];
      const last = Math.max(0, syringe.fill.value - syringe.left_over.value);
      return [0, last / 2, last];
    },
  };
  return { result: delivery, findings };
}

/** The table's bore written into the recipe, so that its tolerance counts like any other. */
function withBore(recipe: Recipe, needle: ResolvedNeedle): Recipe {
  if (needle.tableSource === null || recipe.needle === undefined) return recipe;
  return { ...recipe, needle: { ...recipe.needle, bore: needle.bore } };
}

/** What drives the resin: everything of a pulse that does not depend on age. */
export interface AirSupply {
  readonly model: AirPulseInput['air'];
  readonly atmosphere: number;
  readonly friction: number;
  readonly defaults: readonly string[];
  /** Ullage and hose when this much has been dispensed [m³]; null where the recipe does not tell it. */
  volume(dispensed: number): number | null;
}

/** Without a station the air is ideal and no plunger rubs. */
const WITHOUT_STATION: AirSupply = {
  model: { model: 'ideal' },
  atmosphere: 101_325,
  friction: 0,
  defaults: ['station.air: ideal', 'station.syringe.plunger_friction: 0'],
  volume: () => null,
};

/** The air of a recipe's station. */
export function airSupply(recipe: Recipe): Outcome<AirSupply> {
  const { station } = recipe;
  if (station === undefined) return { result: WITHOUT_STATION, findings: [] };
  const model = airModel(station.air);
  const findings = airModelFindings(station);
  // An overfull syringe does not keep a shot from being computed where no ullage is needed.
  const stops = (f: Finding) => f.severity === 'error' && (f.code !== 'syringe-overfull' || model.model === 'iso6358');
  if (findings.some(stops)) return { result: null, findings };
  const supply: AirSupply = {
    model,
    atmosphere: station.atmosphere.value,
    friction: station.syringe?.plunger_friction.value ?? 0,
    defaults: station.syringe === undefined ? ['station.syringe.plunger_friction: 0'] : [],
    volume: dispensed => stationAirVolume({ station, dispensed }),
  };
  return { result: supply, findings };
}

interface Parts {
  readonly recipe: Recipe;
  readonly needle: ResolvedNeedle;
  readonly course: ResinCourse;
  readonly air: AirSupply;
  readonly flowing: FlowThrough;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

function pointAt(parts: Parts, moment: Moment): Outcome<OperatingPoint> {
  const { recipe, course, air, needle } = parts;
  const age = moment.age ?? recipe.process?.ready_after.value ?? 0;
  const dispensed = moment.dispensed ?? 0;
  const findings = momentFindings(parts, age, dispensed);
  if (findings.some(f => f.severity === 'error')) return { result: null, findings };

  const state = course.at(age);
  const flowing = parts.flowing(state);
  const offset = recipe.calibration?.pressure_offset.value ?? 0;
  const deadTime = recipe.calibration?.dead_time.value ?? 0;
  const volume = air.volume(dispensed);
  const conductance = state.mixed.model === 'newtonian' ? flowing.flow(1e5) / 1e5 : null; // any pressure will do
  // ideal air asks for one flow a pressure, the others for hundreds
  const alongPulse = air.model.model === 'ideal' ? { flow: flowing.flow, kinks: [] } : flowing.alongPulse();
  const pulseInput = (pressure: number): AirPulseInput => ({
    air: air.model,
    setPressure: Math.max(0, pressure - offset),
    ...alongPulse,
    ...(conductance === null ? {} : { flowConductance: conductance }),
    friction: air.friction,
    yieldPressure: flowing.yieldPressure,
    ...(volume === null ? {} : { volume }),
    atmosphere: air.atmosphere,
    temperature: state.temperature,
  });
  let last: { pressure: number; pulse: AirPulse } | null = null; // settings mostly come with one pressure in a row
  const pulse = (pressure: number) => {
    if (last?.pressure !== pressure) {
      const made = makeAirPulse(pulseInput(pressure));
      if (!(made.steadyFlow < MOST_FLOW))
        throw new OverflowError('flow', made.steadyFlow, 'm³/s', `below ${MOST_FLOW} m³/s`);
      last = { pressure, pulse: made };
    }
    return last.pulse;
  };
  const open = (dwell: number) => Math.max(0, dwell - deadTime);
  const deliver = ({ pressure, dwell }: Setting) => {
    const made = pulse(pressure).shot(open(dwell));
    const { volume } = made;
    if (!Number.isFinite(volume)) throw new OverflowError('volume', volume, 'm³', 'small enough to be written');
    return made;
  };
  const restPressure = offset + air.friction + flowing.yieldPressure;
  const netPressure = (pressure: number) => pressure - offset - air.friction;
  // a shot along a run needs no more than its flow
  const ready = once(() => makeNeedle({ rheology: state.rheology, ...needleShape(needle) }));
  const point: OperatingPoint = {
    age,
    temperature: state.temperature,
    viscosityFactor: state.viscosityFactor,
    lotFactor: course.lotFactor,
    dispensed,
    get rheology() {
      return state.rheology;
    },
    measured: state.measured,
    needle,
    models: parts.models,
    defaults: parts.defaults,
    restPressure,
    netPressure,
    openTime: open,
    deliver,
    steady: (pressure, density) => ready().at({ pressure: Math.max(0, netPressure(pressure)), density: density ?? 1 }),
    steadyFlow: pressure => pulse(pressure).steadyFlow,
    dwellFor: wanted => {
      const dwell = pulse(wanted.pressure).dwellForVolume(wanted.volume);
      return dwell === null ? null : dwell + deadTime;
    },
    pressureFor: wanted => pressureFor(deliver, restPressure, wanted),
    bound: ({ pressure, dwell }) => {
      const both = boundVolumes({ ...pulseInput(pressure), dwell: open(dwell) });
      return both === null ? null : [Math.min(...both), Math.max(...both)];
    },
  };
  return { result: point, findings };
}

/** Sections of a needle as numbers [m], `front` upstream. */
export function needleSections(needle: ResolvedNeedle): { front: number; rear: number; length: number }[] {
  return needle.sections.map(({ front, rear, length }) => ({
    front: front.value,
    rear: rear.value,
    length: length.value,
  }));
}

/** A needle as its flow is worked out from. */
export function needleShape(needle: ResolvedNeedle): NeedleShape {
  const { ends, entranceLengths } = needle;
  return {
    sections: needleSections(needle),
    ends,
    ...(entranceLengths === null ? {} : { entranceLengths: entranceLengths.value }),
  };
}

/** Inside volume of a needle [m³]. */
export function needleVolume(needle: ResolvedNeedle): number {
  return needleSections(needle).reduce((sum, section) => sum + frustumVolume(section), 0);
}

/** A calibration belongs to the needle, lot and station that it was taken with: a result says that one counts, and which. */
function calibrationModel({ calibration }: Recipe): string[] {
  if (calibration === undefined) return [];
  const { viscosity_factor: factor, pressure_offset: offset, dead_time: deadTime, date } = calibration;
  const taken = date === undefined ? '' : ` of ${date}`;
  return [
    `calibration${taken}: viscosity factor ${shortened(factor.value)}, pressure offset ${inWords(offset.value, 'kPa')}, dead time ${inSeconds(deadTime.value)}`,
  ];
}

function needleDefaults({ bore, tableSource, tableStatus, gauge }: ResolvedNeedle): string[] {
  if (tableSource === null) return [];
  const { tolerance } = bore;
  const spread = tolerance === undefined ? '' : `, ± ${inWords(tolerance.halfWidth, 'mm', 2)}`;
  return [`needle.bore: gauge table, ${gauge} G, ${tableStatus}${spread}`];
}

function momentFindings({ recipe, course }: Parts, age: number, dispensed: number): Finding[] {
  const problems = ageFindings({ curve: course.cure, age });
  const fill = recipe.station?.syringe?.fill.value;
  if (fill !== undefined && !atMost(dispensed, fill)) {
    const found = `${inMillilitres(dispensed)} cannot have left a syringe that was filled with ${inMillilitres(fill)}`;
    problems.push(deliveryFinding('syringe-empty', 'station.syringe.fill', found));
  }
  return problems;
}

/** The pressure [Pa] that delivers a volume: bracketed from the pressure at rest upwards, then Brent. */
function pressureFor(
  deliver: (setting: Setting) => Delivered,
  rest: number,
  wanted: { dwell: number; volume: number },
): number | null {
  const { dwell, volume } = wanted;
  const miss = (pressure: number) => deliver({ pressure, dwell }).volume / volume - 1;
  let low = Math.max(0, rest);
  for (let high = Math.max(1e3, 2 * low); high <= MOST_PRESSURE; high *= 2) {
    if (miss(high) >= 0) return findRoot(miss, low, high, { relative: 1e-12 });
    low = high;
  }
  return null;
}
