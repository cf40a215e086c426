import { DomainError } from '../../numeric/domain-error.ts';
import type { Process, Recipe, Resin } from '../../recipe/schema/recipe.ts';
import { ageFindings } from '../delivery/cure-model.ts';
import { type ResinThickening, resinThickening } from '../delivery/resin-course.ts';
import { livingCopy } from '../inputs/living-copy.ts';
import type { Slot, Slots } from '../inputs/slot.ts';
import { smoothFunction } from '../inputs/smooth-function.ts';

/** What temperature and age make of the resin in one sample. */
export interface SampledThickening {
  /** Viscosity over that at the reference temperature and age 0 [-]; NaN where the sample cannot be. */
  readonly factor: number;
  readonly temperature: number; // [K]
}

/** Ln of the cure factor is asked of an integration: where the temperature alone moves it, it is a function of one number. */
const COSTLY = new Set(['castro-macosko']);

/**
 * Temperature, cure and age of a recipe made ready for many samples: worked out anew only when one of them has changed.
 * Where a cure that has to be integrated depends on nothing but one deviating temperature, its factor is interpolated over
 * the temperature once it has been asked for often enough to pay (`smoothFunction`, to 1e-10).
 *
 * Evidence: agrees with `operatingPoint` on random samples.
 */
export function sampledThickening(
  { resin, process }: { resin: Resin; process: Recipe['process'] },
  slots: Slots,
): (deviations: Float64Array) => SampledThickening {
  const living = livingCopy(
    {
      ...{ cure: resin.cure, reference_temperature: resin.reference_temperature },
      ...{ energy: resin.activation_energy, temperature: process?.temperature, age: process?.ready_after },
    },
    slots,
  );
  const { cure, reference_temperature, energy, temperature, age } = living.node;
  const copy = { ...resin, cure, reference_temperature, ...(energy && { activation_energy: energy }) };
  const place: Process | undefined = process && { ...process, ...(temperature && { temperature }) };
  const exact = (given?: number): SampledThickening & { cureFactor: number } => {
    const { result } = resinThickening(copy, place, given);
    const now = age?.value ?? 0;
    if (result === null || ageFindings({ curve: result.cure, age: now }).some(f => f.severity === 'error')) return NONE;
    const { temperature, viscosityFactor, temperatureFactor } = result.at(now);
    return { factor: viscosityFactor * temperatureFactor, temperature, cureFactor: viscosityFactor };
  };
  const plain = COSTLY.has(cure.model) && temperature && 'value' in temperature ? slots.of(temperature) : null;
  const alone = plain !== null && plain.index !== slots.none && living.moving === 1 ? plain : null;
  // Without the cure the temperature's own factor costs next to nothing.
  const uncured = { ...copy, cure: { model: 'none' } as const };
  const logCure = smoothFunction(at => Math.log(possible(() => exact(at))?.cureFactor ?? Number.NaN));
  let known: SampledThickening = NONE;
  return deviations => {
    if (!living.read(deviations)) return known;
    if (alone === null) known = possible(exact) ?? NONE;
    else {
      const at = alone.base + deviations[alone.index]!;
      const cured = Math.exp(logCure(at));
      const result = Number.isNaN(cured) ? null : resinThickening(uncured, place, at).result;
      known = result === null ? NONE : { factor: cured * result.at(0).temperatureFactor, temperature: at };
    }
    return known;
  };
}

/**
 * {@link sampledThickening} for many ages of one sample after another: the course of a sample is worked out once, and read
 * at every age. A resin past its gel point is infinitely thick.
 */
export function sampledCourse(
  { resin, process }: { resin: Resin; process: Recipe['process'] },
  age: Slot,
  slots: Slots,
): (deviations: Float64Array) => SampledThickening {
  const living = livingCopy(
    {
      ...{ cure: resin.cure, reference_temperature: resin.reference_temperature },
      ...{ energy: resin.activation_energy, temperature: process?.temperature },
    },
    slots,
  );
  const { cure, reference_temperature, energy, temperature } = living.node;
  const copy = { ...resin, cure, reference_temperature, ...(energy && { activation_energy: energy }) };
  const place: Process | undefined = process && { ...process, ...(temperature && { temperature }) };
  let course: ResinThickening | null = null;
  return deviations => {
    if (living.read(deviations)) course = possible(() => resinThickening(copy, place).result);
    if (course === null) return NONE;
    const now = course.at(age.base + deviations[age.index]!);
    return { factor: now.viscosityFactor * now.temperatureFactor, temperature: now.temperature };
  };
}

const NONE = { factor: Number.NaN, temperature: Number.NaN, cureFactor: Number.NaN };

/** A draw may be one that no resin or station can be; everything else that goes wrong is a fault. */
export function possible<T>(compute: () => T): T | null {
  try {
    return compute();
  } catch (thrown) {
    if (thrown instanceof DomainError) return null;
    throw thrown;
  }
}
