import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { rebuildFactor } from '../../physics/rheology/rebuild.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { givenSetting } from '../delivery/given-setting.ts';
import { type Conditions, prepareDelivery } from '../delivery/operating-point.ts';
import { type ShotResult, shotResult } from './shot-result.ts';

export interface ShotOptions extends Conditions {
  /** Default `settings.pressure` [Pa]. */ readonly pressure?: number;
  /** Default `settings.dwell` [s]. */ readonly dwell?: number;
  /** The first shot after so long a rest [s], by `resin.rebuild`; default: the resin is being worked. */ readonly pause?: number;
}

/**
 * What one setting delivers: the shot with its ooze, flow and wall values, the dot it leaves, the bore shot, the hold-back
 * window, and how it stands to the connector's aim and window. What the recipe has no blocks for is null.
 */
export function shot(recipe: Recipe, options: ShotOptions = {}): Outcome<ShotResult> {
  const rested = restedResin(recipe, options);
  if (rested.result === null) return { result: null, findings: rested.findings };
  const { lotFactor, rebuild } = rested.result;
  const delivery = prepareDelivery(recipe, {
    ...options,
    ...(lotFactor === null ? {} : { lotFactor: lotFactor * (rebuild ?? 1) }),
  });
  const setting = givenSetting(recipe, options, 'a shot', '; `setpoint --write` fills it in');
  const findings = [...delivery.findings, ...setting.findings];
  if (delivery.result === null || setting.result === null) return { result: null, findings };
  const at = delivery.result.at(options);
  findings.push(...at.findings);
  if (at.result === null) return { result: null, findings };
  const parts = { delivery: delivery.result, point: at.result, setting: setting.result };
  const made = shotResult(recipe, parts, findings);
  const result = rebuild === null ? made : { ...made, lot_factor: lotFactor!, rebuild_factor: rebuild };
  return { result, findings: distinct(findings) };
}

/** Factor of the lot as asked for, and what a pause makes of the resin; null where nothing is asked. */
function restedResin(
  { resin }: Recipe,
  { lotFactor = null, pause }: { lotFactor?: number | null; pause?: number },
): Outcome<{ lotFactor: number | null; rebuild: number | null }> {
  if (pause === undefined) return { result: { lotFactor, rebuild: null }, findings: [] };
  const given = resin?.rebuild;
  if (given === undefined)
    return { result: null, findings: [blockMissing('resin.rebuild', 'the first shot after a pause')] };
  const rebuild = rebuildFactor({ factor: given.factor.value, time: given.time.value, pause });
  return { result: { lotFactor: lotFactor ?? resin!.lot_factor.value, rebuild }, findings: [] };
}
