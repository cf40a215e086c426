import type { Finding } from '../diagnostics/finding.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { airRulesDwell } from './air-rules-dwell.ts';
import { analysisFindings } from './from-analyses.ts';
import { pressureAboveRating } from './pressure-above-rating.ts';
import { primeTooFew } from './prime-too-few.ts';
import { programLeavesTolerance } from './program-leaves-tolerance.ts';
import { programLeavesWindow } from './program-leaves-window.ts';
import { rampMissing } from './ramp-missing.ts';
import { resinOutlastsSyringe } from './resin-outlasts-syringe.ts';
import type { Rule } from './rule.ts';
import { RuleContext } from './rule-context.ts';
import { settingOffStep } from './setting-off-step.ts';
import { settingOutsideLimits } from './setting-outside-limits.ts';
import { shotOutsideTolerance } from './shot-outside-tolerance.ts';
import { shotOutsideWindow } from './shot-outside-window.ts';
import { type Judged, withSilence } from './silence.ts';
import { spreadExceedsWindow } from './spread-exceeds-window.ts';
import { stationAboveRating } from './station-above-rating.ts';
import { stopPastPotLife } from './stop-past-pot-life.ts';
import { syringeOutlastsResin } from './syringe-outlasts-resin.ts';

/** Every rule that is not an analysis' own. */
export const RULES: readonly Rule[] = [
  settingOutsideLimits,
  settingOffStep,
  pressureAboveRating,
  stationAboveRating,
  shotOutsideTolerance,
  shotOutsideWindow,
  programLeavesTolerance,
  programLeavesWindow,
  rampMissing,
  airRulesDwell,
  syringeOutlastsResin,
  resinOutlastsSyringe,
  stopPastPotLife,
  primeTooFew,
  spreadExceedsWindow,
];

/** What the engineering rules have to say about a recipe, silenced findings included, each once. */
export function runRules(recipe: Recipe): Finding[] {
  const context = new RuleContext(recipe);
  const seen = new Set<string>();
  return [...analysisFindings(context), ...RULES.flatMap(rule => rule.check(context))].filter(f => {
    const key = `${f.code} ${f.path} ${f.message}`;
    return seen.has(key) ? false : seen.add(key);
  });
}

/** What `check` says about a recipe whose shape is sound: findings, and those that the recipe silences. */
export function checkRecipe(recipe: Recipe): Judged {
  return withSilence(recipe.silence, runRules(recipe));
}
