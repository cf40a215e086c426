import { findRoot } from '../../numeric/root.ts';
import type { RampPlan, RampShot } from '../program/ramp-shots.ts';

export interface Lateness {
  /** How much later than planned every shot may be made before one leaves the tolerance [s]. */
  readonly time: number;
  /** The shot that leaves it first. */ readonly shot: number;
}

/** Longer waits than this are not looked for [s]. */
const LONGEST_WAIT = 7 * 86_400;

/**
 * How late a program that counts shots may run: the longest delay, the same for all shots, at which every shot still keeps
 * the tolerance. The delay of each shot alone ends where the thickened resin delivers aim·(1 − tolerance), or at 90 % of
 * the gel age; the shortest counts. Null where no delay within a week does harm.
 */
export function lateness(plan: RampPlan, settings: readonly number[], tolerance: number): Lateness | null {
  let least: Lateness | null = null;
  plan.shots.forEach((shot, i) => {
    const margin = marginOf(plan, shot, settings[i]!, tolerance);
    const time = longestWait(plan, margin, shot, least?.time ?? LONGEST_WAIT);
    if (time !== null && (least === null || time < least.time)) least = { time, shot: shot.shot };
  });
  return least;
}

/** Error above −tolerance when the shot is made so much later; negative once it is too small. */
function marginOf(plan: RampPlan, shot: RampShot, setting: number, tolerance: number): (wait: number) => number {
  const { by, fixed, aim, delivery } = plan;
  const at = by === 'dwell' ? { pressure: fixed, dwell: setting } : { pressure: setting, dwell: fixed };
  return wait => {
    const { dispensed } = shot.point;
    const later = delivery.at({ age: shot.age + wait, dispensed }).result;
    return later === null ? -1 : later.deliver(at).volume / aim.aim - 1 + tolerance;
  };
}

/** The wait after which the margin is gone, up to `most`; null where it lasts that long. */
function longestWait(plan: RampPlan, margin: (wait: number) => number, shot: RampShot, most: number): number | null {
  if (margin(0) <= 0) return 0;
  const { lastAge } = plan.delivery.course;
  const end = lastAge === null ? most : Math.min(most, Math.max(0, lastAge - shot.age));
  if (margin(end) > 0) return end < most ? end : null;
  return findRoot(margin, 0, end, { relative: 1e-9, absolute: 1e-6 });
}
