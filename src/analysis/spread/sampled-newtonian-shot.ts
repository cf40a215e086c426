import { GAS_CONSTANT } from '../../physics/cure/arrhenius.ts';
import { OPENING_LENGTH_PER_RADIUS } from '../../physics/flow/end-correction.ts';
import type { Needle, Quantity, Recipe, Resin } from '../../recipe/schema/recipe.ts';
import { operatingPoint } from '../delivery/operating-point.ts';
import { OUT } from '../inputs/connector-window.ts';
import { type Slot, SlotArray, type Slots } from '../inputs/slot.ts';
import type { ShotEvaluation, SpreadSetting } from './sampled-shot.ts';

/** Diameters that differ by less than this are the same: as in the needle's flow. */
const SAME_DIAMETER = 1e-9;
/** An opening adds a length of so many radii of its own tube, 128·L/(π·d⁴): so much over d³. */
const PER_RADIUS = 64 / Math.PI;
const OPENING = (64 * OPENING_LENGTH_PER_RADIUS) / Math.PI;

/**
 * The shot [m³] of a Newtonian resin with ideal air as the product it is, made ready for many samples; null for recipes of
 * another kind.
 *
 *   V = (p − offset − friction)·(dwell − dead time)/(η·R)
 *   η = viscosity·lot·calibration·exp[(E/R)(1/T − 1/T_ref) + growth with age];   R = Σ 128·L/(π·d⁴) with cones and openings
 *
 * Exact, not linearised: the same equations as `operatingPoint`, without its findings. What does not deviate is worked out
 * once. The age enters for cure `none`, `pot-life` and `roller` at one temperature; other cures must not deviate.
 *
 * Evidence: agrees with `operatingPoint` on random samples of every input.
 */
export function sampledNewtonianShot(recipe: Recipe, setting: SpreadSetting, slots: Slots): ShotEvaluation | null {
  const { resin, needle, station, calibration } = recipe;
  if (resin?.rheology?.model !== 'newtonian' || needle === undefined) return null;
  if (station !== undefined && station.air.model !== 'ideal') return null;
  const resistance = needleResistance(needle, slots);
  const thickness = thermalExponent(recipe, resin, { slots, age: setting.moment?.age ?? null });
  if (resistance === null || thickness === null) return null;
  const plain = new SlotArray(
    [
      ...[setting.pressure, setting.accuracy, setting.dwell, setting.jitter],
      ...[calibration?.pressure_offset, station?.syringe?.plunger_friction, calibration?.dead_time].map(q =>
        or(q, 0, slots),
      ),
      ...[slots.of(resin.rheology.viscosity), slots.of(resin.lot_factor), or(calibration?.viscosity_factor, 1, slots)],
    ],
    slots.none,
  );
  const v = plain.values; // by index below: taking a typed array apart by pattern is slow
  return (deviations, out) => {
    plain.read(deviations);
    const set = v[0]! + v[1]! - v[4]!;
    const net = Math.max(set, 0) - v[5]!;
    const open = v[2]! + v[3]! - v[6]!;
    resistance.read(deviations);
    thickness.read(deviations);
    out[OUT.shot] =
      net > 0 && open > 0 ? (net * open) / (v[7]! * v[8]! * v[9]! * thickness.result[0]! * resistance.result[0]!) : 0;
  };
}

/** One number of a sample, in place of a return value: a number that a call returns is put on the heap, millions of times. */
interface Part {
  readonly result: Float64Array;
  read(deviations: Float64Array): void;
}

function or(quantity: Quantity | undefined, value: number, slots: Slots): Slot {
  return quantity === undefined ? slots.fixed(value) : slots.of(quantity);
}

/** A number of slots, read anew only where one of them deviates. */
function part(used: readonly Slot[], slots: Slots, evaluate: (v: Float64Array, result: Float64Array) => void): Part {
  const array = new SlotArray(used, slots.none);
  const result = new Float64Array(1);
  evaluate(array.values, result);
  if (array.moving === 0) return { result, read: () => {} };
  return {
    result,
    read: deviations => {
      array.read(deviations);
      evaluate(array.values, result);
    },
  };
}

/** ΔP/(η·Q) [1/m³] of the needle, openings included. */
function needleResistance(needle: Needle, slots: Slots): Part | null {
  const sections = needle.sections?.length
    ? needle.sections
    : needle.bore && needle.length && [{ front: needle.bore, rear: needle.bore, length: needle.length }];
  if (!sections) return null;
  const { ends, entrance_lengths: radii } = needle;
  const count = sections.length;
  const sizes = sections.flatMap(({ front, rear, length }) => [front, rear, length].map(slots.of));
  const used = radii === undefined ? sizes : [...sizes, slots.of(radii)];
  return part(used, slots, (v, result) => {
    const entrance = radii === undefined ? OPENING : PER_RADIUS * v[3 * count]!;
    let sum = 0;
    for (let i = 0; i < count; i++) {
      const front = v[3 * i]!;
      const rear = v[3 * i + 1]!;
      const squares = front * front + front * rear + rear * rear;
      sum += ((128 / (3 * Math.PI)) * v[3 * i + 2]! * squares) / (front * front * front * rear * rear * rear);
      if (ends === 'none') continue;
      if (i === 0 || front < v[3 * i - 2]! * (1 - SAME_DIAMETER)) sum += entrance / (front * front * front);
      if (ends === 'both' && i === count - 1) sum += OPENING / (rear * rear * rear);
    }
    result[0] = sum;
  });
}

/** What temperature and age make of the viscosity [-]; null where the age needs more than a closed form. */
function thermalExponent(recipe: Recipe, resin: Resin, p: { slots: Slots; age: Slot | null }): Part | null {
  const { slots } = p;
  const given = recipe.process?.temperature;
  if (given !== undefined && 'profile' in given) return null;
  const temperature = given ?? resin.reference_temperature;
  const age = p.age ?? or(recipe.process?.ready_after, 0, slots);
  const growth = growthOf(recipe, resin, { temperature, age }, slots);
  if (growth === null) return null;
  const thermal = thermalSlots(resin.activation_energy, temperature, resin.reference_temperature, slots);
  return part([...growth.used, ...thermal], slots, (v, result) => {
    result[0] = Math.exp(arrheniusExponent(v, growth.used.length) + growth.exponent(v));
  });
}

/** Energy, temperature, reference temperature; without an energy the temperature does not count, even where it deviates. */
function thermalSlots(energy: Quantity | undefined, temperature: Quantity, reference: Quantity, slots: Slots): Slot[] {
  if (energy === undefined) return [slots.fixed(0), slots.fixed(1), slots.fixed(1)];
  return [energy, temperature, reference].map(slots.of);
}

/** (E/R)(1/T − 1/T_ref) of three values from a place on: energy, temperature and reference temperature. */
function arrheniusExponent(v: Float64Array, at: number): number {
  return ((v[at]! / GAS_CONSTANT) * (v[at + 2]! - v[at + 1]!)) / (v[at + 1]! * v[at + 2]!);
}

/** ln of the viscosity factor of the age, from the values of the slots it uses. */
interface Growth {
  readonly used: readonly Slot[];
  readonly exponent: (v: Float64Array) => number;
}

function growthOf(
  recipe: Recipe,
  resin: Resin,
  { temperature, age }: { temperature: Quantity; age: Slot },
  slots: Slots,
): Growth | null {
  const { cure } = resin;
  switch (cure.model) {
    case 'none':
      return { used: [], exponent: () => 0 };
    case 'pot-life': {
      const reference = cure.reference_temperature ?? resin.reference_temperature;
      const thermal = thermalSlots(cure.activation_energy, temperature, reference, slots);
      return {
        used: [age, slots.of(cure.factor), slots.of(cure.time), ...thermal],
        exponent: v => ((Math.log(v[1]!) * v[0]!) / v[2]!) * Math.exp(-arrheniusExponent(v, 3)),
      };
    }
    case 'roller':
      return {
        used: [age, slots.of(cure.rate), slots.of(cure.activation_energy), slots.of(temperature)],
        exponent: v => v[0]! * v[1]! * Math.exp(-v[2]! / (GAS_CONSTANT * v[3]!)),
      };
    default:
      return constantGrowth(recipe, [age, slots.of(temperature), ...cureSlots(cure, slots)], slots);
  }
}

function cureSlots(cure: Resin['cure'], slots: Slots): Slot[] {
  const leaves = Object.values(cure).flat(2) as unknown[];
  return leaves.filter((leaf): leaf is Quantity => typeof leaf === 'object' && leaf !== null).map(slots.of);
}

function constantGrowth(recipe: Recipe, used: readonly Slot[], slots: Slots): Growth | null {
  if (used.some(({ index }) => index !== slots.none)) return null;
  const factor = operatingPoint(recipe).result?.viscosityFactor;
  if (factor === undefined || !(factor > 0)) return null;
  return { used: [], exponent: () => Math.log(factor) };
}
