import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inCelsius } from '../../diagnostics/number-words.ts';
import { arrheniusFactor } from '../../physics/cure/arrhenius.ts';
import { type Rheology, thickened, viscosityAt } from '../../physics/rheology/rheology.ts';
import { rheologyProblems } from '../../physics/rheology/rheology-problems.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mean } from '../../stats/descriptive.ts';
import {
  bestFirst,
  type Candidate,
  type CandidateParameter,
  type FittedModel,
  fitCandidate,
  outlierFindings,
  unfitted,
} from './fit-model.ts';
import { rivalShots } from './rival-shots.ts';

/** One point of a flow curve, in SI. */
export interface FlowCurvePoint {
  readonly shearRate: number; // [1/s]
  readonly viscosity: number; // [Pa·s]
  readonly temperature: number | null; // [K]; null: the resin's reference temperature
  /** Line in its file, for messages. */
  readonly line?: number;
}

/** A flow model with the shot of the recipe's own setting by it; null for one that is further than 4 from the best AICc. */
export interface FittedFlow extends FittedModel {
  readonly shot_uL: number | null;
}

export interface FlowCurveResult {
  /** All flow models, by AICc, the best first; the table, which only joins the points, last. */
  readonly models: readonly FittedFlow[];
  readonly points: number;
  /** Temperature that the parameters are for [°C]. */
  readonly reference_temperature_C: number;
  readonly shear_rate_range_per_s: readonly [number, number];
  readonly readings: readonly {
    readonly shear_rate_per_s: number;
    readonly viscosity_Pa_s: number;
    /** As it would be at the reference temperature. */
    readonly reference_viscosity_Pa_s: number;
  }[];
}

export interface FlowCurveOptions {
  /** Fit these models only, by their names; default: all. */
  readonly only?: readonly string[];
}

type Numbers = ArrayLike<number>;
interface ModelForm {
  readonly parameters: readonly CandidateParameter[];
  readonly make: (p: Numbers) => Rheology;
  readonly starts: (rates: readonly number[], viscosities: readonly number[]) => number[][];
}

const TINY = 1e-12;
const positive = (name: string): CandidateParameter => ({ name, lower: TINY });
const notNegative = (name: string): CandidateParameter => ({ name, lower: 0 });

/**
 * All flow models fitted to a rheometer's flow curve, in relative residuals, parameters at the resin's reference temperature.
 * Points at other temperatures are compared with the model thickened by the resin's activation energy.
 */
export function fitFlowCurve(
  recipe: Recipe,
  points: readonly FlowCurvePoint[],
  options: FlowCurveOptions = {},
): Outcome<FlowCurveResult> {
  const reference = recipe.resin?.reference_temperature.value ?? 298.15;
  const findings: Finding[] = [];
  if (points.length < 2) {
    findings.push(
      floorFinding(
        'fit-too-few',
        null,
        `a flow curve needs two points at least; there ${points.length === 1 ? 'is 1' : 'are 0'}`,
      ),
    );
    return { result: null, findings };
  }
  const factors = thickening(recipe, points, reference, findings);
  const bad = points[factors.findIndex(factor => !(factor > 0 && Number.isFinite(factor)))];
  if (bad !== undefined) {
    const [at, from] = [bad.temperature!, reference].map(inCelsius);
    const message = `no viscosity at ${from} can be worked out from that at ${at}`;
    findings.push(deliveryFinding('temperature-invalid', 'resin.reference_temperature', message));
    return { result: null, findings };
  }
  const rates = points.map(p => p.shearRate);
  const measured = points.map(p => p.viscosity);
  // Starting points come from the curve as if it were at the reference temperature.
  const plain = measured.map((v, i) => v / factors[i]!);
  const asked = (name: string): boolean => options.only?.includes(name) ?? true;
  const forms = Object.entries(FORMS).filter(([name]) => asked(name));
  const models = forms.map(([name, form]) => {
    const candidate: Candidate = {
      name,
      parameters: form.parameters,
      starts: form.starts(rates, plain),
      values: (p, out) => {
        const rheology = form.make(p);
        const valid = rheologyProblems(rheology).length === 0;
        for (const [i, rate] of rates.entries())
          out[i] = valid ? viscosityAt(scaled(rheology, factors[i]!), rate) : Number.NaN;
      },
    };
    return fitCandidate(candidate, measured);
  });
  const ranked = bestFirst([...models, ...(asked('table') ? [tableModel(rates, plain)] : [])]);
  const range = [Math.min(...rates), Math.max(...rates)] as const;
  const shots = rivalShots(recipe, ranked, range);
  const result: FlowCurveResult = {
    models: ranked.map((model, i) => ({ ...model, shot_uL: microlitres(shots.volumes[i]!) })),
    points: points.length,
    reference_temperature_C: reference - 273.15,
    shear_rate_range_per_s: range,
    readings: points.map((point, i) => ({
      shear_rate_per_s: point.shearRate,
      viscosity_Pa_s: point.viscosity,
      reference_viscosity_Pa_s: plain[i]!,
    })),
  };
  const best = result.models[0];
  if (best === undefined) return { result, findings };
  findings.push(...outlierFindings(best, i => points[i]!.line));
  if (best.note !== null) findings.push(floorFinding('fit-unresolved', null, `${best.name}: ${best.note}`));
  if (shots.finding !== null) findings.push(shots.finding);
  return { result, findings };
}

function microlitres(volume: number | null): number | null {
  return volume === null ? null : volume * 1e9;
}

/** Viscosity [Pa·s] over shear rate [1/s] of a fitted model, at the reference temperature; null where it was not fitted. */
export function flowCurveOf(model: FittedModel): ((shearRate: number) => number) | null {
  const form = FORMS[model.name];
  if (form === undefined || model.parameters.length === 0) return null;
  const rheology = form.make(model.parameters.map(p => p.estimate));
  return shearRate => viscosityAt(rheology, shearRate);
}

function scaled(rheology: Rheology, factor: number): Rheology {
  return factor === 1 ? rheology : thickened(rheology, factor);
}

/** By what each point is thicker than at the reference temperature. */
function thickening(
  recipe: Recipe,
  points: readonly FlowCurvePoint[],
  reference: number,
  findings: Finding[],
): number[] {
  const energy = recipe.resin?.activation_energy?.value;
  const away = points.some(p => p.temperature !== null && Math.abs(p.temperature - reference) > 0.01);
  if (away && energy === undefined) {
    const message =
      'points were measured away from the reference temperature, and the resin has no activation energy: they are taken as they are';
    findings.push(floorFinding('fit-temperatures', 'resin.activation_energy', message));
  }
  return points.map(p =>
    p.temperature === null || energy === undefined
      ? 1
      : arrheniusFactor({ activationEnergy: energy, temperature: p.temperature, referenceTemperature: reference }),
  );
}

/** The eighth model joins the points: as many parameters as readings, so it has no AICc; it must still be a possible table. */
function tableModel(rates: readonly number[], viscosities: readonly number[]): FittedModel {
  const byRate = new Map<number, number[]>();
  for (const [i, rate] of rates.entries()) byRate.set(rate, [...(byRate.get(rate) ?? []), Math.log(viscosities[i]!)]);
  const points = [...byRate].sort((a, b) => a[0] - b[0]).map(([rate, logs]) => [rate, Math.exp(mean(logs))] as const);
  const problem = rheologyProblems({ model: 'table', points })[0];
  if (problem !== undefined)
    return unfitted('table', `the points are no flow curve: ${problem.parameter} must be ${problem.requirement}`);
  const parameters = points.map(([rate, viscosity]) => ({
    ...{ name: `viscosity_Pa_s at ${Number(rate.toPrecision(6))} 1/s`, estimate: viscosity, low: null, high: null },
    ...{ open: null, standard_error: null, fixed: false, at_bound: false },
  }));
  return {
    name: 'table',
    parameters,
    aicc: null,
    residual_sd: null,
    converged: true,
    residuals_pct: null,
    outliers: [],
    note: 'joins the points',
  };
}

const YIELD_SHARES = [0.02, 0.3, 0.6, 0.9, 0.98];

/** Names as in the recipe, with the SI unit behind, as all keys of results. */
const FORMS: Record<string, ModelForm> = {
  newtonian: {
    parameters: [positive('viscosity_Pa_s')],
    make: p => ({ model: 'newtonian', viscosity: p[0]! }),
    starts: (_, v) => [[Math.exp(mean(v.map(Math.log)))]],
  },
  'power-law': {
    parameters: [positive('K_Pa_s_n'), positive('n')],
    make: p => ({ model: 'power-law', consistency: p[0]!, flowIndex: p[1]! }),
    starts: (g, v) => [
      powerStart(
        g,
        v.map((x, i) => x * g[i]!),
      ),
    ],
  },
  'herschel-bulkley': {
    parameters: [notNegative('yield_stress_Pa'), positive('K_Pa_s_n'), positive('n')],
    make: p => ({ model: 'herschel-bulkley', yieldStress: p[0]!, consistency: p[1]!, flowIndex: p[2]! }),
    starts: (g, v) => withYield(g, v, (stress, rest) => [stress, ...powerStart(g, rest)]),
  },
  bingham: {
    parameters: [notNegative('yield_stress_Pa'), positive('viscosity_Pa_s')],
    make: p => ({ model: 'bingham', yieldStress: p[0]!, viscosity: p[1]! }),
    starts: (g, v) => withYield(g, v, (stress, rest) => [stress, geometric(rest.map((t, i) => t / g[i]!))]),
  },
  casson: {
    parameters: [notNegative('yield_stress_Pa'), positive('viscosity_Pa_s')],
    make: p => ({ model: 'casson', yieldStress: p[0]!, viscosity: p[1]! }),
    starts: (g, v) =>
      withYield(g, v, (stress, rest) => [
        stress,
        geometric(rest.map((t, i) => (Math.sqrt(t + stress) - Math.sqrt(stress)) ** 2 / g[i]!)),
      ]),
  },
  cross: {
    parameters: [positive('zero_Pa_s'), notNegative('infinity_Pa_s'), positive('time_s'), positive('m')],
    make: p => ({ model: 'cross', zero: p[0]!, infinity: p[1]!, time: p[2]!, m: p[3]! }),
    starts: (g, v) => smoothStarts(g, v).flatMap(s => [0.5, 0.8, 0.95].map(m => [...s, m])),
  },
  'carreau-yasuda': {
    parameters: [
      positive('zero_Pa_s'),
      notNegative('infinity_Pa_s'),
      positive('time_s'),
      { name: 'a', lower: 0.05, upper: 20 },
      { name: 'n', lower: -2, upper: 2 },
    ],
    make: p => ({ model: 'carreau-yasuda', zero: p[0]!, infinity: p[1]!, time: p[2]!, a: p[3]!, n: p[4]! }),
    starts: (g, v) => smoothStarts(g, v).flatMap(s => [0.8, 2].flatMap(a => [0.2, 0.5, 0.8].map(n => [...s, a, n]))),
  },
};

function geometric(values: readonly number[]): number {
  return Math.exp(mean(values.map(v => Math.log(Math.max(v, TINY)))));
}

/** K and n of the straight line through ln τ over ln γ̇. */
function powerStart(rates: readonly number[], stresses: readonly number[]): [number, number] {
  const x = rates.map(Math.log);
  const y = stresses.map(t => Math.log(Math.max(t, TINY)));
  const mx = mean(x);
  const my = mean(y);
  const sxx = x.reduce((s, v) => s + (v - mx) ** 2, 0);
  const n = sxx > 0 ? x.reduce((s, v, i) => s + (v - mx) * (y[i]! - my), 0) / sxx : 1;
  const index = Math.min(Math.max(n, 0.05), 2);
  return [Math.exp(my - index * mx), index];
}

function withYield(
  rates: readonly number[],
  viscosities: readonly number[],
  rest: (yieldStress: number, above: readonly number[]) => number[],
): number[][] {
  const stresses = viscosities.map((v, i) => v * rates[i]!);
  const least = Math.min(...stresses);
  return YIELD_SHARES.map(share =>
    rest(
      share * least,
      stresses.map(t => t - share * least),
    ),
  );
}

/** Zero and infinity viscosity and time over a coarse grid. */
function smoothStarts(rates: readonly number[], viscosities: readonly number[]): number[][] {
  const most = Math.max(...viscosities);
  const least = Math.min(...viscosities);
  const low = Math.log(Math.min(...rates));
  const high = Math.log(Math.max(...rates));
  const times = [0, 0.25, 0.5, 0.75, 1].map(s => 1 / Math.exp(low + s * (high - low)));
  return [1.02, 1.5].flatMap(z => [0.01, 0.5, 0.95].flatMap(i => times.map(t => [z * most, i * least, t])));
}
