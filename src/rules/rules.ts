import { airRulesDwell } from './air-rules-dwell.ts';
import { backfillBeyondNeedle } from './backfill-beyond-needle.ts';
import { beadOutgrowsFace } from './bead-outgrows-face.ts';
import { cableJams } from './cable-jams.ts';
import { needleTooShort } from './needle-too-short.ts';
import { needleWedges } from './needle-wedges.ts';
import { particlesTooLarge } from './particles-too-large.ts';
import { pressureAboveRating } from './pressure-above-rating.ts';
import { primeTooFew } from './prime-too-few.ts';
import { programLeavesTolerance } from './program-leaves-tolerance.ts';
import { programLeavesWindow } from './program-leaves-window.ts';
import { rampMissing } from './ramp-missing.ts';
import { readyAfterMissing } from './ready-after-missing.ts';
import { resinOutlastsSyringe } from './resin-outlasts-syringe.ts';
import type { Rule } from './rule.ts';
import { settingOffStep } from './setting-off-step.ts';
import { settingOutsideLimits } from './setting-outside-limits.ts';
import { shotOutsideTolerance } from './shot-outside-tolerance.ts';
import { shotOutsideWindow } from './shot-outside-window.ts';
import { spreadExceedsWindow } from './spread-exceeds-window.ts';
import { stationAboveRating } from './station-above-rating.ts';
import { stopPastPotLife } from './stop-past-pot-life.ts';
import { syringeOutlastsResin } from './syringe-outlasts-resin.ts';
import { taktTooShort } from './takt-too-short.ts';

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
  needleTooShort,
  needleWedges,
  backfillBeyondNeedle,
  taktTooShort,
  beadOutgrowsFace,
  cableJams,
  particlesTooLarge,
  readyAfterMissing,
];
