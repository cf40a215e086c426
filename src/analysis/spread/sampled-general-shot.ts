import { type AirPulseInput, makeAirPulse } from '../../physics/air/air.ts';
import { makeNeedle, type NeedleInput, type ReadyNeedle } from '../../physics/flow/needle-flow.ts';
import { quickFlow } from '../../physics/flow/quick-flow.ts';
import {
  type ScaledRheology,
  sameShape,
  scaledRheology,
  thickenedScales,
} from '../../physics/rheology/scaled-rheology.ts';
import type { Calibration, Recipe, Resin, RheologyBlock } from '../../recipe/schema/recipe.ts';
import { resolveNeedle } from '../delivery/needle.ts';
import { type AirSupply, airSupply, needleShape } from '../delivery/operating-point.ts';
import { yieldOver } from '../delivery/resin-course.ts';
import { rheologyFindings, rheologyModel, withYield } from '../delivery/rheology-model.ts';
import { OUT } from '../inputs/connector-window.ts';
import { livingCopy } from '../inputs/living-copy.ts';
import type { Slot, Slots } from '../inputs/slot.ts';
import type { ShotEvaluation, SpreadSetting } from './sampled-shot.ts';
import { possible, sampledCourse, sampledThickening } from './sampled-thickening.ts';

/**
 * The shot of any recipe made ready for many samples: the same models as `operatingPoint`, each made anew only when one of
 * its own values has changed. Viscosity, temperature, age, lot and calibration only scale the flow curve, so that the needle
 * keeps its wall curve while the shape of the rheology stays (`scaledRheology`).
 *
 *   Q(Δp) = rate·Q̂(Δp/stress), V = ∫ Q(p(t) − friction) dt
 *
 * Evidence: agrees with `operatingPoint` on random samples of every input, for every model of flow, cure and air.
 */
export function generalShot(recipe: Recipe, setting: SpreadSetting, slots: Slots): ShotEvaluation {
  const { resin, calibration } = recipe;
  if (resin?.rheology === undefined) return (_, out) => put(out, Number.NaN);
  const { moment } = setting;
  const parts = { resin, process: recipe.process };
  const thickening = moment === undefined ? sampledThickening(parts, slots) : sampledCourse(parts, moment.age, slots);
  const needle = sampledNeedle(recipe, resin.rheology, slots);
  const air = sampledAir(recipe, slots);
  const others = livingCopy<{ lot: Resin['lot_factor']; calibration: Calibration | undefined }>(
    { lot: resin.lot_factor, calibration },
    slots,
  );
  const { node } = others;
  const yieldOf = sampledYield(resin, slots);
  const at = ({ base, index }: Slot, deviations: Float64Array) => base + deviations[index]!;
  const volumeOf = (deviations: Float64Array): number => {
    others.read(deviations);
    const { factor, temperature } = thickening(deviations);
    const flow = needle(deviations, yieldOf(deviations, temperature));
    const supply = air(deviations);
    if (Number.isNaN(factor) || flow === null || supply === null) return Number.NaN;
    const { stress, rate } = thickenedScales(flow.scaled, factor * node.lot.value);
    const calibrated = rate / (node.calibration?.viscosity_factor.value ?? 1);
    const pressure = at(setting.pressure, deviations) + at(setting.accuracy, deviations);
    const dwell = at(setting.dwell, deviations) + at(setting.jitter, deviations);
    const dispensed = moment === undefined ? 0 : at(moment.dispensed, deviations);
    const input = pulseInput({ flow, stress, rate: calibrated, supply, temperature, dispensed });
    const setPressure = Math.max(0, pressure - (node.calibration?.pressure_offset.value ?? 0));
    const open = Math.max(0, dwell - (node.calibration?.dead_time.value ?? 0));
    return makeAirPulse({ ...input, setPressure }).shot(open).volume;
  };
  return (deviations, out) => put(out, possible(() => volumeOf(deviations)) ?? Number.NaN);
}

/** What a temperature makes of the yield stress, over what it makes of the viscosity, sample by sample [-]. */
function sampledYield(resin: Resin, slots: Slots): (deviations: Float64Array, temperature: number) => number {
  const { yield_activation_energy, activation_energy, reference_temperature } = resin;
  if (yield_activation_energy === undefined) return () => 1;
  const living = livingCopy({ yield_activation_energy, activation_energy, reference_temperature }, slots);
  return (deviations, temperature) => {
    living.read(deviations);
    return yieldOver(living.node, temperature);
  };
}

function put(out: Float64Array, shot: number): void {
  out[OUT.shot] = shot;
}

interface ScaledFlow {
  readonly scaled: ScaledRheology;
  /** Of the shape. */
  readonly path: ReadyNeedle;
  /** The same flow for the hundreds of pressures of a pulse, which share what it has learnt from sample to sample. */
  readonly alongPulse: (net: number) => number;
}

interface Scales extends Pick<ScaledRheology, 'stress' | 'rate'> {
  readonly flow: ScaledFlow;
  readonly supply: AirSupply;
  readonly temperature: number;
  readonly dispensed: number;
}

function pulseInput({
  flow,
  stress,
  rate,
  supply,
  temperature,
  dispensed,
}: Scales): Omit<AirPulseInput, 'setPressure'> {
  const { path, scaled, alongPulse } = flow;
  const shaped = supply.model.model === 'ideal' ? path.flow : alongPulse;
  const volume = supply.volume(dispensed);
  const newtonian = scaled.shape.model === 'newtonian';
  return {
    air: supply.model,
    flow: net => rate * shaped(net / stress),
    ...(newtonian && { flowConductance: (rate * path.flow(1)) / stress }),
    friction: supply.friction,
    yieldPressure: path.yieldPressure * stress,
    ...(volume === null ? {} : { volume }),
    atmosphere: supply.atmosphere,
    temperature,
  };
}

/** The needle's flow for the shape of the resin; null where the sample cannot be. */
function sampledNeedle(recipe: Recipe, block: RheologyBlock, slots: Slots) {
  const sizes = livingCopy(recipe.needle, slots);
  const rheology = livingCopy(block, slots);
  const sized = { ...recipe, ...(sizes.node && { needle: sizes.node }) };
  let pieces: Omit<NeedleInput, 'rheology'> | null = null;
  let known: ScaledFlow | null = null;
  let scaled: ScaledRheology | null = null;
  let over = 1;
  return (deviations: Float64Array, yieldNow: number): ScaledFlow | null => {
    let same = true;
    if (sizes.read(deviations)) {
      same = false;
      const { result } = resolveNeedle(sized);
      pieces = result && needleShape(result);
    }
    if (rheology.read(deviations) || yieldNow !== over) {
      over = yieldNow;
      const model = withYield(rheologyModel(rheology.node), over);
      const next = rheologyFindings(model).length > 0 ? null : scaledRheology(model);
      if (next === null || scaled === null || !sameShape(next.shape, scaled.shape)) {
        same = false;
        scaled = next;
      } else {
        scaled = { ...next, shape: scaled.shape }; // the same object, whose wall curve is kept
        if (known !== null && same) known = { ...known, scaled };
      }
    }
    if (!same) known = pieces && scaled && flowOf(scaled, pieces);
    return known;
  };
}

function flowOf(scaled: ScaledRheology, sizes: Omit<NeedleInput, 'rheology'>): ScaledFlow {
  const path = makeNeedle({ ...sizes, rheology: scaled.shape });
  // Kept at pressures of the size that stations have, which those of the shape are not.
  const { stress } = scaled;
  const usual = { ...path, yieldPressure: path.yieldPressure * stress, flow: (net: number) => path.flow(net / stress) };
  const quick = quickFlow(usual);
  return { scaled, path, alongPulse: net => quick(net * stress) };
}

/** What drives the resin; null where the sample cannot be. */
function sampledAir(recipe: Recipe, slots: Slots) {
  const station = livingCopy(recipe.station, slots);
  const moved = { ...recipe, ...(station.node && { station: station.node }) };
  let known: AirSupply | null = null;
  return (deviations: Float64Array): AirSupply | null => {
    if (station.read(deviations)) known = airSupply(moved).result;
    return known;
  };
}
