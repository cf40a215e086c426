import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { gridValue } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type Conditions, operatingPoint, type Setting } from '../delivery/operating-point.ts';
import { spreadModel } from '../inputs/spread-terms.ts';
import type { TrimStep } from './release-decision.ts';

export interface TrimModel {
  /** What the recipe predicts for the setting [m³]; null without a flow model. */
  readonly predicted: number | null;
  /** Predicted relative scatter from shot to shot [-]. */
  readonly shotScatter: number;
  readonly age: number | null; // [s]
  readonly temperature: number | null; // [K]
  /** Of age alone [-]. */
  readonly viscosityFactor: number | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
  /** The dwell on the station's steps that brings a mean shot [m³] nearest to the aim [m³]. */
  trim(p: { mean: number; aim: number }): TrimStep;
}

/**
 * How the shot of this syringe moves with the dwell: as the recipe's does, by one factor.
 *
 *   V(dwell) = V_recipe(dwell)·mean/V_recipe(dwell now)
 *
 * So a dead time and a slow rise of the air count. Without a flow model the shot is taken in proportion to the dwell, with a warning.
 */
export function trimModel(recipe: Recipe, setting: Setting, conditions: Conditions): Outcome<TrimModel> {
  const at = operatingPoint(recipe, conditions, 'a trim');
  const step = recipe.station?.dwell?.step.value ?? null;
  const nearest = (dwell: number) => (step === null ? dwell : gridValue(Math.max(1, Math.round(dwell / step)), step));
  const predicted = at.result?.deliver(setting).volume ?? 0;
  if (at.result === null || !(predicted > 0)) {
    const because = at.findings.find(f => f.severity === 'error')?.message ?? 'by the recipe nothing flows';
    const missing = floorFinding('release-trim-proportional', null, `the trim is in proportion: ${because}`);
    return { result: proportional(setting, nearest), findings: [missing] };
  }
  const point = at.result;
  const result: TrimModel = {
    predicted,
    shotScatter: shotScatter(recipe, setting, conditions),
    age: point.age,
    temperature: point.temperature,
    viscosityFactor: point.viscosityFactor,
    models: point.models,
    defaults: point.defaults,
    trim: ({ mean, aim }) => {
      const factor = mean / predicted;
      const wanted = point.dwellFor({ pressure: setting.pressure, volume: aim / factor }) ?? setting.dwell;
      const dwell = nearest(wanted);
      return { dwell, before: setting.dwell, delivered: point.deliver({ ...setting, dwell }).volume * factor };
    },
  };
  return { result, findings: at.findings };
}

function proportional(setting: Setting, nearest: (dwell: number) => number): TrimModel {
  return {
    predicted: null,
    shotScatter: 0,
    age: null,
    temperature: null,
    viscosityFactor: null,
    models: ['shot in proportion to the dwell'],
    defaults: [],
    trim: ({ mean, aim }) => {
      const dwell = nearest((setting.dwell * aim) / mean);
      return { dwell, before: setting.dwell, delivered: (mean * dwell) / setting.dwell };
    },
  };
}

/** What differs from shot to shot of one syringe: pressure and dwell as the station holds them. */
function shotScatter(recipe: Recipe, setting: Setting, conditions: Conditions): number {
  const terms = spreadModel(recipe, conditions).result?.terms(setting) ?? [];
  const own = terms.filter(({ cause }) => cause === 'pressure accuracy' || cause === 'dwell jitter');
  return Math.hypot(...own.map(({ relative }) => relative));
}
