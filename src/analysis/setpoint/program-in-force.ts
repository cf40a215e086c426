import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Setting } from '../delivery/operating-point.ts';
import type { ResinConditions } from '../delivery/resin-course.ts';
import { type ProgramStage, programSetting, releasedStages } from '../program/program-stages.ts';
import { pressesPerShot } from '../program/shot-clock.ts';
import { setpointSetting } from '../setpoint/setpoint.ts';

/** What a station runs: one pressure, and the steps of dwell. */
export interface Program {
  readonly pressure: number; // [Pa]
  readonly stages: readonly ProgramStage[];
  readonly pressesPerShot: number;
}

/** The program that the recipe has released; null where `settings` lacks pressure or dwell. */
export function releasedProgram(recipe: Recipe): Program | null {
  const { pressure, dwell, ramp } = recipe.settings ?? {};
  if (pressure === undefined || dwell === undefined) return null;
  const presses = pressesPerShot(recipe);
  return { pressure: pressure.value, stages: releasedStages(dwell.value, ramp, presses), pressesPerShot: presses };
}

/** Pressure [Pa] and dwell [s] that a program sets at a shot (from 1). */
export function settingAt({ pressure, stages, pressesPerShot }: Program, shot: number): Setting {
  return { pressure, dwell: programSetting(stages, shot, pressesPerShot) };
}

export interface SettingInForce extends Setting {
  /** Where the two come from: `settings` has both, or the setpoint gives what is left open. */
  readonly from: 'settings' | 'setpoint';
}

/**
 * Pressure and dwell to work with: the released ones, else the setpoint's. A released pressure is kept; a dwell whose
 * pressure is not released says nothing.
 */
export function settingInForce(recipe: Recipe, conditions: ResinConditions = {}): Outcome<SettingInForce> {
  const { pressure, dwell } = recipe.settings ?? {};
  if (pressure !== undefined && dwell !== undefined) {
    return { result: { pressure: pressure.value, dwell: dwell.value, from: 'settings' }, findings: [] };
  }
  const kept = pressure === undefined ? conditions : { ...conditions, pressure: pressure.value };
  const { result, findings } = setpointSetting(recipe, kept);
  return { result: result === null ? null : { ...result, from: 'setpoint' }, findings };
}

/** The pressure [Pa] or the dwell [s] in force, which takes no setpoint where it is released. */
export function partInForce(
  recipe: Recipe,
  part: 'pressure' | 'dwell',
  conditions: ResinConditions = {},
): Outcome<number> {
  const released = recipe.settings?.[part]?.value;
  if (released !== undefined) return { result: released, findings: [] };
  const { result, findings } = settingInForce(recipe, conditions);
  return result === null ? { result, findings } : { result: result[part], findings: [] };
}
