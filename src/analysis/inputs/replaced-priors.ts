import type { Quantity, Recipe, Tolerance } from '../../recipe/schema/recipe.ts';

/** What each value of a calibration was measured in place of, and what the deviation of that must not be common to. */
const REPLACED = [
  {
    key: 'viscosity_factor',
    path: /^resin\.(rheology\.|lot_factor$)/,
    keeps: ['shot', 'syringe', 'needle', 'connector'],
  },
  { key: 'pressure_offset', path: /^station\.syringe\.plunger_friction$/, keeps: ['shot'] },
  { key: 'dead_time', path: /^station\.air\.delay$/, keeps: ['shot'] },
] as const;

/**
 * Tells the quantities whose tolerance a calibration with a doubt of its own stands in place of: the trials were made with that lot, so
 * that its thickness deviates by what they left in doubt, not by what lots do; and so for what takes pressure, and time, at this station. A
 * new needle, the room, and what differs from shot to shot stay.
 */
export function replacedPriors({ calibration }: Recipe): (quantity: Quantity, tolerance: Tolerance) => boolean {
  const active = REPLACED.filter(({ key }) => (calibration?.[key].tolerance?.halfWidth ?? 0) > 0);
  if (active.length === 0) return () => false;
  return (quantity, { per }) =>
    active.some(({ path, keeps }) => path.test(quantity.path) && !(keeps as readonly string[]).includes(per));
}
