import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { arrheniusFactor, GAS_CONSTANT } from '../../physics/cure/arrhenius.ts';
import { type CureModel, cureCurve } from '../../physics/cure/cure.ts';
import { cureProblems } from '../../physics/cure/cure-problems.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mean } from '../../stats/descriptive.ts';
import {
  bestFirst,
  type Candidate,
  type CandidateParameter,
  type FittedModel,
  fitCandidate,
  outlierFindings,
} from './fit-model.ts';

/** One point of a cure curve, in SI: a viscosity, or its ratio to the one at age zero. */
export interface CureCurvePoint {
  readonly age: number; // [s]
  readonly viscosity: number | null; // [Pa·s]
  readonly factor: number | null; // [-]
  readonly temperature: number | null; // [K]; null: the cure's reference temperature
  /** Line in its file, for messages. */
  readonly line?: number;
}

export interface CureFitResult {
  /** Cure models by AICc, the best first. */
  readonly models: readonly FittedModel[];
  readonly points: number;
  readonly temperatures_C: readonly number[];
  readonly reference_temperature_C: number;
  readonly readings: readonly {
    readonly age_min: number;
    readonly temperature_C: number;
    readonly viscosity_Pa_s: number | null;
    readonly factor: number | null;
  }[];
}

/** Activation energy that stands in where nothing is known [J/mol]; *common practice for room-temperature epoxies, no source*. */
const USUAL_ENERGY = 60e3;
/** Of the pot life, where the recipe has none: a doubling. */
const USUAL_FACTOR = 2;

interface Context {
  readonly points: readonly CureCurvePoint[];
  readonly reference: number;
  readonly temperatures: readonly number[];
  readonly recipe: Recipe;
  /** Whether an unknown viscosity at age zero has to be fitted. */
  readonly viscosities: boolean;
}

/**
 * Cure models fitted to thickening with age, in relative residuals: pot life, dual Arrhenius (roller), and Castro–Macosko with
 * Kamal–Sourour kinetics. Activation energies are fitted where there is more than one temperature, else kept at the recipe's (or a usual
 * one); of Castro–Macosko the orders, gel conversion and c2 are kept at the recipe's, since viscosity alone does not tell them.
 */
export function fitCure(
  recipe: Recipe,
  points: readonly CureCurvePoint[],
  options: { readonly only?: readonly string[] } = {},
): Outcome<CureFitResult> {
  const findings: Finding[] = [];
  const cure = recipe.resin?.cure;
  const reference = referenceOf(recipe);
  const usable = points.filter(p => p.viscosity !== null || p.age > 0);
  const temperatures = [...new Set(points.map(p => p.temperature ?? reference))].sort((a, b) => a - b);
  const kinds = new Set(points.map(p => p.viscosity !== null));
  if (kinds.size > 1) {
    findings.push(
      floorFinding(
        'fit-too-few',
        null,
        'some points give a viscosity and some a factor; give one of them throughout',
        'use one column for all rows',
      ),
    );
  }
  if (new Set(usable.map(p => p.age)).size < 2) {
    findings.push(floorFinding('fit-too-few', null, 'a cure curve needs points at two ages at least'));
  }
  if (findings.length > 0) return { result: null, findings };
  const context: Context = { points: usable, reference, temperatures, recipe, viscosities: kinds.has(true) };
  const measured = usable.map(p => p.viscosity ?? p.factor!);
  const candidates = CURES.map(candidateOf => candidateOf(context)).filter(c => options.only?.includes(c.name) ?? true);
  // At one temperature pot life and roller are the same curve: the recipe's own kind goes first among equals.
  candidates.sort((a, b) => Number(b.name === cure?.model) - Number(a.name === cure?.model));
  const models = candidates.map(c => fitCandidate(c, measured));
  const result: CureFitResult = {
    models: bestFirst(models),
    points: usable.length,
    temperatures_C: temperatures.map(t => t - 273.15),
    reference_temperature_C: reference - 273.15,
    readings: usable.map(p => ({
      age_min: p.age / 60,
      temperature_C: (p.temperature ?? reference) - 273.15,
      viscosity_Pa_s: p.viscosity,
      factor: p.factor,
    })),
  };
  const best = result.models[0];
  if (best === undefined) return { result, findings };
  findings.push(...outlierFindings(best, i => usable[i]!.line));
  if (best.note !== null) findings.push(floorFinding('fit-unresolved', null, `${best.name}: ${best.note}`));
  return { result, findings };
}

/** The cure's reference temperature [K]. */
function referenceOf({ resin }: Recipe): number {
  return (resin?.cure?.reference_temperature ?? resin?.reference_temperature)?.value ?? 298.15;
}

/** What a fitted model gives at ages [s] and a temperature [K]: viscosities [Pa·s] if it was fitted to such, else factors [-]. */
export function cureCurveOf(
  recipe: Recipe,
  model: FittedModel,
  at: { readonly ages: readonly number[]; readonly temperature: number },
): number[] | null {
  if (model.parameters.length === 0) return null;
  const { temperature } = at;
  const context: Context = {
    points: at.ages.map(age => ({ age, viscosity: 1, factor: null, temperature })),
    reference: referenceOf(recipe),
    temperatures: [temperature],
    recipe,
    viscosities: model.parameters.some(p => p.name.startsWith('viscosity_at_age_0')),
  };
  const candidate = CURES.map(candidateOf => candidateOf(context)).find(c => c.name === model.name);
  if (candidate === undefined) return null;
  const out = new Float64Array(at.ages.length);
  candidate.values(
    model.parameters.map((p, k) => p.estimate / (candidate.parameters[k]!.scale ?? 1)),
    out,
  );
  return [...out];
}

/** Growth of ln factor at the reference temperature [1/s], roughly: the straight line through all points. */
function growthOf({ points }: Context): { growth: number; first: number } {
  const age = points.map(p => p.age);
  const log = points.map(p => Math.log(p.viscosity ?? p.factor!));
  const ma = mean(age);
  const ml = mean(log);
  const saa = age.reduce((s, a) => s + (a - ma) ** 2, 0);
  const slope = age.reduce((s, a, i) => s + (a - ma) * (log[i]! - ml), 0) / saa;
  const growth = slope > 0 ? slope : 1e-6;
  return { growth, first: Math.exp(ml - growth * ma) };
}

/** A cure model with, in front where viscosities were measured, the one at age zero and reference temperature. */
function candidate(
  context: Context,
  name: string,
  own: readonly CandidateParameter[],
  starts: readonly (readonly number[])[],
  make: (p: ArrayLike<number>) => CureModel,
): Candidate {
  const { points, recipe, reference, viscosities, temperatures } = context;
  const { first } = growthOf(context);
  const energy = recipe.resin?.activation_energy?.value ?? 0;
  const several = temperatures.length > 1;
  const until = Math.max(...points.map(p => p.age));
  const front: CandidateParameter[] = viscosities
    ? [
        { name: 'viscosity_at_age_0_Pa_s', lower: 1e-12 },
        { name: 'viscosity_activation_energy_kJ_per_mol', scale: 1e-3, lower: 0, fixed: !several },
      ]
    : [];
  return {
    name,
    parameters: [...front, ...own],
    starts: starts.map(s => (viscosities ? [first, several ? energy || USUAL_ENERGY : energy, ...s] : [...s])),
    values: (p, out) => {
      const cure = make(Array.from(p).slice(front.length));
      if (cureProblems(cure).length > 0) return void out.fill(Number.NaN);
      for (const temperature of temperatures) {
        const curve = cureCurve({ cure, temperature, until });
        const initial = viscosities
          ? p[0]! * arrheniusFactor({ activationEnergy: p[1]!, temperature, referenceTemperature: reference })
          : 1;
        for (const [i, point] of points.entries()) {
          if ((point.temperature ?? reference) === temperature) out[i] = initial * curve.factor(point.age);
        }
      }
    },
  };
}

/** Energies are free only where temperatures differ. */
function energyParameter(context: Context, name = 'activation_energy_kJ_per_mol'): CandidateParameter {
  return { name, scale: 1e-3, lower: 0, fixed: context.temperatures.length < 2 };
}

function potLife(context: Context): Candidate {
  const block = context.recipe.resin?.cure;
  const factor = block?.model === 'pot-life' ? block.factor.value : USUAL_FACTOR;
  const given = block?.model === 'pot-life' ? block.activation_energy?.value : undefined;
  const energy = given ?? (context.temperatures.length > 1 ? USUAL_ENERGY : 0);
  const parameters: CandidateParameter[] = [
    { name: 'time_min', scale: 1 / 60, lower: 1e-3 },
    { name: 'factor', fixed: true },
    energyParameter(context),
  ];
  const { growth } = growthOf(context);
  return candidate(context, 'pot-life', parameters, [[Math.log(factor) / growth, factor, energy]], p => ({
    model: 'pot-life',
    time: p[0]!,
    factor: p[1]!,
    activationEnergy: p[2]!,
    referenceTemperature: context.reference,
  }));
}

/** The rate is fitted as ln k at the reference temperature, which its energy leaves nearly alone; shown is the rate itself. */
function roller(context: Context): Candidate {
  const block = context.recipe.resin?.cure;
  const energy = block?.model === 'roller' ? block.activation_energy.value : USUAL_ENERGY;
  const { growth } = growthOf(context);
  const rate = growth * Math.exp(energy / (GAS_CONSTANT * context.reference));
  const parameters: CandidateParameter[] = [{ name: 'rate_per_s', lower: 1e-30 }, energyParameter(context)];
  return candidate(context, 'roller', parameters, [[rate, energy]], p => ({
    model: 'roller',
    rate: p[0]!,
    activationEnergy: p[1]!,
  }));
}

function castroMacosko(context: Context): Candidate {
  const block = context.recipe.resin?.cure;
  const given = block?.model === 'castro-macosko' ? block : null;
  const kept = {
    m: given?.m.value ?? 1,
    n: given?.n.value ?? 2,
    gel: given?.gel_conversion.value ?? 0.55,
    c2: given?.c2.value ?? 0,
  };
  const e1 = given?.E1.value ?? USUAL_ENERGY;
  const e2 = given?.E2.value ?? USUAL_ENERGY;
  const { growth } = growthOf(context);
  // Early on ln factor grows with (c1/gel)·k1·t; the rest of the starts spread the work between the two rates.
  const starts = [1, 2, 4].flatMap(c1 =>
    [0, 3, 10].map(share => {
      const k1 = (growth * kept.gel) / c1 / (1 + share / 10);
      const boost = (energy: number): number => Math.exp(energy / (GAS_CONSTANT * context.reference));
      return [k1 * boost(e1), share * k1 * boost(e2), e1, e2, kept.m, kept.n, kept.gel, c1, kept.c2];
    }),
  );
  const parameters: CandidateParameter[] = [
    { name: 'A1_per_s', lower: 1e-30 },
    { name: 'A2_per_s', lower: 0 },
    energyParameter(context, 'E1_kJ_per_mol'),
    { name: 'E2_kJ_per_mol', scale: 1e-3, lower: 0, fixed: true },
    { name: 'm', fixed: true },
    { name: 'n', fixed: true },
    { name: 'gel_conversion', fixed: true },
    { name: 'c1', lower: 1e-6 },
    { name: 'c2', fixed: true },
  ];
  return candidate(context, 'castro-macosko', parameters, starts, p => ({
    ...{ model: 'castro-macosko', A1: p[0]!, A2: p[1]!, E1: p[2]!, E2: p[3]!, m: p[4]!, n: p[5]! },
    ...{ gelConversion: p[6]!, c1: p[7]!, c2: p[8]! },
  }));
}

/** All models of cure that are fitted, the simplest first. */
const CURES = [potLife, roller, castroMacosko];
