import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inMinutes } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { CureCurve, CureModel, TemperatureProfile } from '../../physics/cure/cure.ts';
import { cureProblems } from '../../physics/cure/cure-problems.ts';
import type { Process, Resin } from '../../recipe/schema/recipe.ts';
import { modelFindings } from './model-findings.ts';

/** The cure model of a recipe as numbers in SI; its reference temperature is the resin's unless it has its own. */
export function cureModel(resin: Pick<Resin, 'cure' | 'reference_temperature'>): CureModel {
  const block = resin.cure;
  const referenceTemperature = (block.reference_temperature ?? resin.reference_temperature).value;
  switch (block.model) {
    case 'none':
      return { model: 'none' };
    case 'pot-life':
      return {
        ...{ model: 'pot-life', time: block.time.value, factor: block.factor.value, referenceTemperature },
        ...(block.activation_energy === undefined ? {} : { activationEnergy: block.activation_energy.value }),
      };
    case 'roller':
      return { model: 'roller', rate: block.rate.value, activationEnergy: block.activation_energy.value };
    case 'castro-macosko':
      return {
        ...{ model: 'castro-macosko', A1: block.A1.value, E1: block.E1.value, A2: block.A2.value, E2: block.E2.value },
        ...{ m: block.m.value, n: block.n.value, gelConversion: block.gel_conversion.value },
        ...{ c1: block.c1.value, c2: block.c2.value },
      };
    case 'table':
      return {
        ...{ model: 'table', referenceTemperature },
        points: block.points.map(([age, factor]) => [age.value, factor.value] as const),
      };
  }
}

/** The temperature of the process: one number [K], or [age s, K] points; null where the recipe says nothing. */
export function temperatureProfile(process: Pick<Process, 'temperature'> | undefined): TemperatureProfile | null {
  const given = process?.temperature;
  if (given === undefined) return null;
  return 'profile' in given ? given.profile.map(([age, at]) => [age.value, at.value] as const) : given.value;
}

/** What is wrong with the numbers of a cure model, at the keys they stand at. */
export function cureModelFindings(cure: CureModel): Finding[] {
  return modelFindings('cure', cure, cureProblems(cure));
}

/** What is wrong with a temperature profile of a recipe, at the keys its numbers stand at. */
export function temperatureFindings(profile: TemperatureProfile | null): Finding[] {
  const bad = (path: string, message: string) => deliveryFinding('temperature-invalid', path, message);
  const key = 'process.temperature';
  if (profile === null) return [];
  if (typeof profile === 'number') return profile > 0 ? [] : [bad(key, `found ${profile} K, must be above 0 K`)];
  if (profile.length === 0) return [bad(`${key}.profile`, 'the profile has no points, one is the least')];
  return profile.flatMap(([age, temperature], i) => {
    const before = profile[i - 1]?.[0];
    const at = `${key}.profile[${i}]`;
    const findings: Finding[] = [];
    if (before !== undefined && !(age > before)) {
      findings.push(bad(`${at}[0]`, `found age ${age} s after ${before} s, ages must rise`));
    }
    if (!(temperature > 0)) findings.push(bad(`${at}[1]`, `found ${temperature} K, must be above 0 K`));
    return findings;
  });
}

/** A resin so many times as thick as when mixed is a solid [-]. */
export const SOLID_FACTOR = 1e9;

/** What an age [s] means for a cure curve: past the measured table, too near the gel point, or solid. */
export function ageFindings({ curve, age }: { curve: CureCurve; age: number }): Finding[] {
  const findings: Finding[] = [];
  if (curve.lastAge !== null && curve.gelAge !== null && !atMost(age, curve.lastAge)) {
    const message =
      `at an age of ${inMinutes(age)} the resin is past ${inMinutes(curve.lastAge)}, ` +
      `90 % of its gel age of ${inMinutes(curve.gelAge)}`;
    findings.push(deliveryFinding('age-past-gel', 'resin.cure', message));
  }
  if (findings.length === 0 && !(curve.factor(age) < SOLID_FACTOR)) {
    const message = `at an age of ${inMinutes(age)} the resin has set: its viscosity is more than ${SOLID_FACTOR.toExponential()} times that at mixing`;
    findings.push(deliveryFinding('resin-set', 'resin.cure', message));
  }
  if (curve.measuredUntil !== null && !atMost(age, curve.measuredUntil)) {
    const message = `an age of ${inMinutes(age)} is beyond the cure table, which ends at ${inMinutes(curve.measuredUntil)}`;
    findings.push(deliveryFinding('age-past-table', 'resin.cure.points', message));
  }
  return findings;
}
