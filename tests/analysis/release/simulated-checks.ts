import { resinDot } from '../../../src/analysis/dot/dot.ts';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { readDot } from '../../../src/analysis/dot/read-dot.ts';
import { spreadingViscosity } from '../../../src/analysis/dot/spreading-resin.ts';
import { programSetting } from '../../../src/analysis/program/program-stages.ts';
import { programRun } from '../../../src/analysis/ramp/program-run.ts';
import { type ReleaseOptions, type ReleaseResult, release } from '../../../src/analysis/release/release.ts';
import { type RandomSource, randomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';

/** How a syringe is checked: so many weighings of five shots to 0.01 mg, or so many dots of the gauge's shots. */
export type Method = { readonly masses: number } | { readonly dots: number };

const DIGIT = 1e-8; // [kg]
const WEIGHED = 5;
const TEMPERATURE = 296.15;

/** What became of many simulated checks of syringes of one thickness. */
export interface Simulated {
  readonly checks: number;
  readonly rejected: number;
  readonly trimmed: number;
  /** Used though a shot left is truly outside the window. */
  readonly wronglyUsed: number;
}

/**
 * Checks syringes of a recipe at shot 1, each so thick as `thickness` draws it. Their shots scatter as accuracy and jitter of the
 * station make them: normal, half-widths of two standard deviations, in proportion (Newtonian, ideal air). A balance rounds twice;
 * all dots of a check are misread alike, by anything within the reading error, and spread as a Λ drawn from its own doubt has them.
 */
export function simulateChecks(
  recipe: Recipe,
  p: {
    checks: number;
    seed: number;
    method: Method;
    thickness: (random: RandomSource) => number;
    options?: Partial<ReleaseOptions>;
    /** What checks before lead to expect, of other syringes; told the readings of a syringe of a thickness. */
    earlier?: (
      random: RandomSource,
      readingsOf: (thickness: number) => Partial<ReleaseOptions>,
    ) => Partial<ReleaseOptions>;
  },
): Simulated {
  const random = randomSource(p.seed);
  const reader = readerOf(recipe, p.method, random);
  const first = programRun(recipe).result!.shots[0]!.volume;
  let [rejected, trimmed, wronglyUsed] = [0, 0, 0];
  for (let i = 0; i < p.checks; i++) {
    const thickness = p.thickness(random);
    const { result } = release(recipe, {
      shot: 1,
      temperature: TEMPERATURE,
      ...reader(first / thickness, thickness),
      ...p.options,
      ...p.earlier?.(random, other => reader(first / other, other)),
    });
    if (result!.decision === 'reject') rejected++;
    else if (isOutside(recipe, result!, thickness)) wronglyUsed++;
    if (result!.decision === 'use with trim') trimmed++;
  }
  return { checks: p.checks, rejected, trimmed, wronglyUsed };
}

/** Readings of a syringe whose mean shot is so large [m³]. */
function readerOf(
  recipe: Recipe,
  method: Method,
  random: RandomSource,
): (mean: number, thickness: number) => Partial<ReleaseOptions> {
  const { pressure, dwell } = recipe.station!;
  const friction = recipe.station!.syringe!.plunger_friction.value;
  const setting = recipe.settings!;
  const relative = Math.hypot(
    pressure!.accuracy!.value / 2 / (setting.pressure!.value - friction),
    dwell!.jitter!.value / 2 / setting.dwell!.value,
  );
  const shots = (mean: number, count: number) =>
    Array.from({ length: count }, () => mean * (1 + relative * random.normal())).reduce((a, b) => a + b, 0);
  if ('masses' in method) {
    const density = recipe.resin!.density!.value;
    const weigh = (mass: number) => {
      const pan = random.uniform() * DIGIT;
      return (Math.round((pan + mass) / DIGIT) - Math.round(pan / DIGIT)) * DIGIT;
    };
    return mean => ({
      shots: WEIGHED,
      lastDigit: DIGIT,
      masses: Array.from({ length: method.masses }, () => weigh(density * shots(mean, WEIGHED))),
    });
  }
  const dot = resinDot(recipe).result!;
  const onCircle = gauge(recipe).result!.shots_per_circle;
  const viscosity = spreadingViscosity(recipe, { age: recipe.process!.ready_after.value, temperature: TEMPERATURE });
  return (mean, thickness) => {
    const misread = (2 * random.uniform() - 1) * dot.readingError;
    // Λ is one for all dots of a resin; a thick syringe spreads the more slowly.
    const slowed = ((10 + 2.5 * random.normal()) / 10) * thickness;
    const read = readDot(recipe, dot, viscosity! * Math.max(0.1, slowed));
    return { dots: Array.from({ length: method.dots }, () => read.diameter(shots(mean, onCircle)) + misread) };
  };
}

/** Whether a shot of the program that is to be run leaves the window, the syringe being truly so thick. */
function isOutside(recipe: Recipe, { program, window_uL: window, trim }: ReleaseResult, thickness: number): boolean {
  const stages = program!.stages.map(s => ({
    ...{ fromShot: s.from_shot, first: s.first_dwell_s },
    ...{ add: s.add_s, every: s.every },
  }));
  const made = programRun(recipe).result!;
  const last = trim?.end?.shot ?? made.end.shot;
  return made.shots.slice(0, last).some(({ shot, dwell, volume }) => {
    const now = ((volume * programSetting(stages, shot, 1)) / dwell / thickness) * 1e9;
    return now < window[0] * (1 - 1e-9) || now > window[1] * (1 + 1e-9);
  });
}
