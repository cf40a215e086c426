import { prepareDelivery } from '../../../src/analysis/delivery/operating-point.ts';
import { fit as calibrate, type FitRow } from '../../../src/analysis/fit/fit.ts';
import { fitCure } from '../../../src/analysis/fit/fit-cure.ts';
import { fitFlowCurve } from '../../../src/analysis/fit/fit-flow-curve.ts';
import type { FitEstimate } from '../../../src/analysis/fit/fit-report.ts';
import { type RandomSource, randomSource } from '../../../src/numeric/random.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

/** A truth, and a fit of readings made from it with normal scatter. */
export interface CoverageCase {
  readonly name: string;
  readonly truth: Readonly<Record<string, number>>;
  readonly estimates: (source: RandomSource) => readonly FitEstimate[];
}

const recipe = exampleRecipe();
const rates = Array.from({ length: 19 }, (_, i) => 10 ** (-1 + i / 6)); // 0.1 … 100 1/s

function flowCase(
  name: string,
  model: string,
  scatter: number,
  truth: Readonly<Record<string, number>>,
  viscosity: (rate: number) => number,
): CoverageCase {
  return {
    name: `${name}, ${100 * scatter} %`,
    truth,
    estimates: source => {
      const points = rates.map(shearRate => ({
        shearRate,
        viscosity: viscosity(shearRate) * Math.exp(scatter * source.normal()),
        temperature: null,
      }));
      return fitFlowCurve(recipe, points, { only: [model] }).result!.models[0]!.parameters;
    },
  };
}

const cross = (zero: number, infinity: number, time: number, m: number) => ({
  truth: { zero_Pa_s: zero, infinity_Pa_s: infinity, time_s: time, m },
  at: (g: number) => infinity + (zero - infinity) / (1 + (time * g) ** m),
});
const early = cross(12, 0.8, 0.5, 0.8);
const late = cross(12, 0.8, 0.05, 0.8);

/** Both plateaus of the curve lie in what is measured. */
export const CROSS = flowCase('cross, both plateaus seen', 'cross', 0.02, early.truth, early.at);
/** The lower plateau lies far beyond what is measured: the likelihood leans far to one side. */
export const CROSS_BEYOND = flowCase('cross, lower plateau beyond', 'cross', 0.05, late.truth, late.at);

const potLife: CoverageCase = {
  name: 'pot life with its viscosity at age zero, 3 %',
  truth: { viscosity_at_age_0_Pa_s: 2.4, time_min: 60 },
  estimates: source => {
    const points = [0, 5, 10, 15, 20, 30, 40, 50, 60, 70].map(minutes => ({
      age: 60 * minutes,
      viscosity: 2.4 * 2 ** (minutes / 60) * Math.exp(0.03 * source.normal()),
      factor: null,
      temperature: null,
    }));
    return fitCure(recipe, points, { only: ['pot-life'] }).result!.models[0]!.parameters;
  },
};

const trials: CoverageCase = {
  name: 'trial shots, 2 %',
  truth: { viscosity_factor: 1.12, pressure_offset_kPa: 4, dead_time_s: 0.03 },
  estimates: source => {
    const point = prepareDelivery(recipe).result!.at({}).result!;
    const rows = [100e3, 200e3, 300e3].flatMap(pressure =>
      [0.2, 0.5, 1, 2].map((dwell, i): FitRow => {
        const { volume } = point.deliver({ pressure: pressure - 4e3, dwell: dwell - 0.03 });
        const mass = ((1150 * volume) / 1.12) * Math.exp(0.02 * source.normal());
        return { pressure, dwell, age: null, temperature: null, shots: 1, mass, diameter: null, line: i + 2 };
      }),
    );
    return calibrate(recipe, rows).result!.parameters;
  },
};

export const CASES: readonly CoverageCase[] = [
  CROSS,
  flowCase(
    'Herschel–Bulkley',
    'herschel-bulkley',
    0.02,
    { yield_stress_Pa: 85, K_Pa_s_n: 14, n: 0.62 },
    g => 85 / g + 14 * g ** (0.62 - 1),
  ),
  flowCase(
    'Casson',
    'casson',
    0.02,
    { yield_stress_Pa: 60, viscosity_Pa_s: 2.2 },
    g => (Math.sqrt(60 / g) + Math.sqrt(2.2)) ** 2,
  ),
  potLife,
  trials,
];

/** Shares of runs in which interval and ± t standard errors held the truth, over all parameters; an open side has no end. */
export function coverage({ truth, estimates }: CoverageCase, runs: number, seed: number, t = 2) {
  const source = randomSource(seed);
  let [held, heldStraight, asked] = [0, 0, 0];
  for (let run = 0; run < runs; run++) {
    for (const p of estimates(source)) {
      const value = truth[p.name];
      if (value === undefined) continue;
      asked++;
      const from = p.low ?? (p.open === null ? Number.NaN : Number.NEGATIVE_INFINITY);
      if (from <= value && value <= (p.high ?? Number.POSITIVE_INFINITY)) held++;
      if (Math.abs(p.estimate - value) <= t * (p.standard_error ?? 0)) heldStraight++;
    }
  }
  return { interval: held / asked, straight: heldStraight / asked, asked };
}
