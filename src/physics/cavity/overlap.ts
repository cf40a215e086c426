import type { Frustum, Sides } from './cavity.ts';

/** What stands at one place of a stack: one passage or several in a row, round or rectangular. */
export interface CrossSection {
  readonly diameter: number; // [m]; of a rectangle the smaller side
  readonly count: number;
  readonly sides: Sides | undefined;
  /** From one middle to the next [m]; undefined where it is not known. */
  readonly pitch: number | undefined;
}

/** One round passage: diameters alone say what fits. */
export function isPlain({ count = 1, sides }: Pick<Frustum, 'count' | 'sides'>): boolean {
  return count === 1 && sides === undefined;
}

/**
 * By how much what is inside is thicker than what is around it [m]; zero or below where it goes in.
 *
 *   each in its own: d − D, a ribbon in a round passage √(w² + h²) − D by its corners, in a rectangle by its sides
 *   a row in one chamber: its span (n − 1)·pitch + d in place of the width; without a pitch each is looked at by itself
 *
 * Along a stretch in which both are straight this is straight as well.
 * Source: geometry. Evidence: hand sums.
 */
export function overlap(outer: CrossSection, inner: CrossSection): number {
  const row = outer.count === 1 ? (inner.count - 1) * (inner.pitch ?? 0) : 0;
  const width = row + (inner.sides?.width ?? inner.diameter);
  const height = inner.sides?.height ?? inner.diameter;
  if (outer.sides !== undefined) return Math.max(width - outer.sides.width, height - outer.sides.height);
  // The ends of a row of round ones are round: its farthest points lie on its middle line.
  const across = inner.sides === undefined ? width : Math.hypot(width, height);
  return across - outer.diameter;
}
