import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { ovenFinding } from '../../diagnostics/codes/oven-codes.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { inMinutes } from '../../diagnostics/number-words.ts';
import { ConvergenceError } from '../../numeric/convergence-error.ts';
import { integrate } from '../../numeric/quadrature.ts';
import { arrheniusFactor } from '../../physics/cure/arrhenius.ts';
import { castroMacoskoFactor } from '../../physics/cure/castro-macosko.ts';
import type { CastroMacosko } from '../../physics/cure/cure-model.ts';
import { cureProblems } from '../../physics/cure/cure-problems.ts';
import type { GlassModel } from '../../physics/cure/glass.ts';
import { type OvenCure, ovenCure } from '../../physics/cure/oven-cure.ts';
import { temperatureAt } from '../../physics/cure/temperature-profile.ts';
import { viscosityAt } from '../../physics/rheology/rheology.ts';
import type { Recipe, Resin } from '../../recipe/schema/recipe.ts';
import { cureModel } from '../delivery/cure-model.ts';
import { resinThickening } from '../delivery/resin-course.ts';
import { rheologyFindings, rheologyModel } from '../delivery/rheology-model.ts';
import { slowed } from '../delivery/slowed.ts';

type Profile = readonly (readonly [number, number])[];

/** The oven of a recipe with the kinetics of its resin. */
export interface Oven {
  readonly profile: Profile;
  readonly cure: CastroMacosko;
  readonly glass: GlassModel | null;
  /** [K] */
  readonly beyond: number;
  /** Conversion of a resin at an age, by its course before the oven. */
  readonly conversionAt: (age: number) => number;
  /** Age at which it gels before it reaches the oven [s]; null where it does not. */
  readonly gelAge: number | null;
}

/** What one connector goes through. */
export interface OvenCourse extends OvenCure {
  readonly start: number;
  /** ∫dt/η from the start of the oven to gel, or to its end [1/Pa]; null where the recipe has no flow model. */
  readonly fluidity: number | null;
}

/** Flow between cavity and cable is slow: its viscosity is taken at this shear rate [1/s]; ours, no source. */
export const SLOW_SHEAR = 1;

export function ovenOf(recipe: Recipe): Outcome<Oven> {
  const { process, resin } = recipe;
  const purpose = 'an oven';
  if (process?.oven === undefined) return { result: null, findings: [blockMissing('process.oven', purpose)] };
  if (resin === undefined) return { result: null, findings: [blockMissing('resin.cure', purpose)] };
  const cure = cureModel(resin);
  if (cure.model !== 'castro-macosko') {
    const message = `the cure model is ${cure.model}: an oven needs kinetics, castro-macosko`;
    return { result: null, findings: [ovenFinding('oven-no-kinetics', 'resin.cure', message)] };
  }
  const profile = process.oven.map(([time, at]) => [time.value, at.value] as const);
  const cold = process.oven.find(([, at]) => !(at.value > 0));
  if (cold !== undefined) {
    return { result: null, findings: [ovenFinding('oven-impossible', cold[1].path, 'an oven below 0 K')] };
  }
  const before = resinThickening(resin, process);
  if (before.result === null || cureProblems(cure).length > 0) return { result: null, findings: before.findings };
  const { cure: curve } = before.result;
  const glass = glassOf(resin);
  if (glass !== null && !(glass.uncured > 0)) {
    const message = 'the glass transition of the uncured mix is below 0 K';
    return { result: null, findings: [ovenFinding('oven-impossible', 'resin.glass.uncured', message)] };
  }
  return {
    result: {
      ...{ profile, cure, glass },
      beyond: resin.glass?.beyond.value ?? 0,
      conversionAt: age => curve.conversion(age) ?? 0,
      gelAge: curve.gelAge,
    },
    findings: [],
  };
}

function glassOf({ glass }: Resin): GlassModel | null {
  if (glass === undefined) return null;
  return { uncured: glass.uncured.value, cured: glass.cured.value, lambda: glass.lambda.value };
}

/** What a connector shot at an age goes through in the oven. */
export function ovenCourse(recipe: Recipe, oven: Oven, age: number): Outcome<OvenCourse> {
  if (oven.gelAge !== null && age >= oven.gelAge) {
    const message = `at an age of ${inMinutes(age)} the resin has gelled, at ${inMinutes(oven.gelAge)}`;
    return { result: null, findings: [ovenFinding('oven-too-late', 'resin.cure', message)] };
  }
  try {
    const start = oven.conversionAt(age);
    const { profile, cure, glass, beyond } = oven;
    const course = ovenCure({ ...{ cure, profile, start }, ...(glass !== null && { glass, beyond }) });
    const fluidity = recipe.resin?.rheology === undefined ? null : fluidityOf(recipe, oven, course);
    if (fluidity === null || Number.isFinite(fluidity)) return { result: { ...course, start, fluidity }, findings: [] };
  } catch (error) {
    if (!(error instanceof ConvergenceError)) throw error;
  }
  const message = 'kinetics and oven are so extreme that the cure cannot be followed';
  return { result: null, findings: [ovenFinding('oven-impossible', 'process.oven', message)] };
}

/** ∫dt/η up to the gel point, or the end of the oven. */
function fluidityOf({ resin, calibration }: Recipe, { profile, cure }: Oven, course: OvenCure): number {
  const base = rheologyModel(resin!.rheology!);
  if (rheologyFindings(base).some(({ severity }) => severity === 'error')) return Number.NaN;
  const fresh =
    viscosityAt(slowed(base, calibration?.viscosity_factor.value ?? 1), SLOW_SHEAR) * resin!.lot_factor.value;
  const first = profile[0]![0];
  const until = course.gelTime ?? profile.at(-1)![0];
  const corners = [first, ...profile.map(([time]) => time).filter(time => time > first && time < until), until];
  const fluidity = (time: number) => {
    const thick = castroMacoskoFactor(cure, course.at(time)) * byTemperature(resin!, temperatureAt(profile, time));
    const inverse = 1 / (fresh * thick);
    return Number.isFinite(inverse) ? inverse : Number.MAX_VALUE;
  };
  let sum = 0;
  for (let i = 1; i < corners.length; i++) {
    const [from, to] = [corners[i - 1]!, corners[i]!];
    // A millionth of the fastest flow is far below what anybody can tell of a reach.
    if (to > from)
      sum += integrate(fluidity, from, to, { relative: 1e-7, absolute: 1e-9 * fluidity(from) * (to - from) });
  }
  return sum;
}

function byTemperature(resin: Resin, temperature: number): number {
  if (resin.activation_energy === undefined) return 1;
  return arrheniusFactor({
    activationEnergy: resin.activation_energy.value,
    temperature,
    referenceTemperature: resin.reference_temperature.value,
  });
}
