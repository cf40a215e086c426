import type { Setting } from '../delivery/operating-point.ts';
import { type Program, settingAt } from '../setpoint/program-in-force.ts';
import type { ShotMoment, SyringeModel } from './syringe-model.ts';

/** A production shot that a checked syringe has before it. */
export interface ShotLeft extends ShotMoment {
  readonly shot: number;
}

/** How thick a syringe is, with the ends of its 95 % interval. */
export interface Thickness {
  readonly estimate: number;
  readonly low: number;
  readonly high: number;
}

/** What a program delivers, shot by shot, to a syringe that is as thick as it seems, thinner and thicker [m³]. */
export interface JudgedRun {
  readonly shots: readonly ShotLeft[];
  readonly estimate: readonly number[];
  /** At the low end of the thickness: the most. */ readonly most: readonly number[];
  /** At its high end: the least. */ readonly least: readonly number[];
}

/** What every shot has to keep [m³]. */
export interface Target {
  readonly window: { readonly min: number; readonly max: number };
  readonly aim: number;
  /** About the aim [-]; null where the recipe gives none. */
  readonly tolerance: number | null;
}

/** What a program makes of the shots left. */
export function judgedRun(
  model: SyringeModel,
  shots: readonly ShotLeft[],
  { thickness, program }: { thickness: Thickness; program: Program },
): JudgedRun {
  const settings = settingsOf(program, shots);
  const at = (value: number) =>
    shots.map((moment, i) => (Number.isFinite(value) ? model.deliver(value, moment, settings[i]!) : 0));
  return { shots, estimate: at(thickness.estimate), most: at(thickness.low), least: at(thickness.high) };
}

/** Settings that were worked out before: many checks are judged by one program. */
const KNOWN = new WeakMap<Program, { readonly shots: readonly ShotLeft[]; readonly settings: readonly Setting[] }>();

/** What a program sets at each of some shots. */
export function settingsOf(program: Program, shots: readonly ShotLeft[]): readonly Setting[] {
  const known = KNOWN.get(program);
  if (known?.shots === shots) return known.settings;
  const settings = shots.map(({ shot }) => settingAt(program, shot));
  KNOWN.set(program, { shots, settings });
  return settings;
}
