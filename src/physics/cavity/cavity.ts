import { DomainError, requireFinite, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';

/**
 * One cylinder or frustum: diameters at its front and rear end [m], length [m]. Several equal ones side by side, or a
 * rectangle, are a frustum as well: that of one passage, or of the smaller side.
 */
export interface Frustum {
  readonly front: number;
  readonly rear: number;
  readonly length: number;
  /** How many equal passages stand side by side; absent: one. */
  readonly count?: number;
  /** Of a rectangle, whose front and rear are the smaller of the two. */
  readonly sides?: Sides;
  /** From the middle of one passage to the middle of the next [m]. */
  readonly pitch?: number;
}

/** Sides of a rectangle [m]; passages side by side stand in a row along the width. */
export interface Sides {
  readonly width: number;
  readonly height: number;
}

/** A frustum in its place on the axis: `from` and `to` are distances behind the end face [m]. */
export interface PlacedFrustum extends Frustum {
  /** {@link areaFold} */ readonly fold: number;
  readonly from: number;
  readonly to: number;
}

/** Frustums one behind the other, from front to rear. */
export interface Stack {
  readonly pieces: readonly PlacedFrustum[];
  readonly from: number; // [m]
  readonly to: number; // [m]
}

/** Diameters that agree this well touch: it covers the rounding of a sum of lengths and of an interpolation. */
export const TOUCHING = 1e-9; // [-], relative

/**
 * Puts frustums behind one another, the first one's front at the place `start` [m] (below zero: in front of the face).
 *
 * Throws: DomainError when a diameter or length is not finite and positive.
 */
export function makeStack(frustums: readonly Frustum[], start = 0): Stack {
  requireFinite('start', start, 'm');
  let at = start;
  const pieces = frustums.map(frustum => {
    const { length, sides } = frustum;
    const smaller = sides === undefined ? null : Math.min(sides.width, sides.height);
    const [front, rear] = [smaller ?? frustum.front, smaller ?? frustum.rear];
    requirePositive('front', front, 'm');
    requirePositive('rear', rear, 'm');
    requirePositive('length', length, 'm');
    const fold = areaFold(frustum);
    const from = at;
    at += length;
    return { ...frustum, front, rear, fold, from, to: at };
  });
  return { pieces, from: start, to: at };
}

/** The cable's stack: its tip stands `protrusion` [m] in front of the end face. Throws as {@link makeStack}. */
export function makeCableStack(frustums: readonly Frustum[], protrusion: number): Stack {
  requireNonNegative('protrusion', protrusion, 'm');
  return makeStack(frustums, -protrusion);
}

/**
 * Area of a frustum over that of one round passage of its diameter [-]: n for n passages, (4/π)·n·a/b for rectangles of
 * the sides a ≥ b; exactly 1 for one round passage.
 *
 * Throws: DomainError for a count that is no whole number from 1 on, or a side that is not positive.
 */
export function areaFold({ count = 1, sides }: Pick<Frustum, 'count' | 'sides'>): number {
  if (!(Number.isSafeInteger(count) && count >= 1))
    throw new DomainError('count', count, '-', 'a whole number from 1 on');
  if (sides === undefined) return count;
  const { width, height } = sides;
  requirePositive('width', width, 'm');
  requirePositive('height', height, 'm');
  return count * (4 / Math.PI) * (Math.max(width, height) / Math.min(width, height));
}

/** Volume [m³] of a frustum: π·L·(d₁² + d₁·d₂ + d₂²)/12. */
export function frustumVolume(f: Pick<Frustum, 'front' | 'rear' | 'length'>): number {
  return (Math.PI * f.length * (f.front * f.front + f.front * f.rear + f.rear * f.rear)) / 12;
}

/** Diameter [m] of a piece at a place, straight between its ends. */
export function diameterOf(piece: PlacedFrustum, place: number): number {
  if (place <= piece.from) return piece.front;
  if (place >= piece.to) return piece.rear;
  return piece.front + ((piece.rear - piece.front) * (place - piece.from)) / piece.length;
}

/** Diameter [m] of a stack at a place; on a step that of the piece in front; null outside the stack. */
export function diameterAt(stack: Stack, place: number): number | null {
  const piece = stack.pieces.find(p => place >= p.from && place <= p.to);
  return piece === undefined ? null : diameterOf(piece, place);
}

/**
 * Volume [m³] of a stack between two places, exact.
 *
 * Shape: signed: negative when `to` lies in front of `from`; parts outside the stack count nothing.
 * Throws: DomainError when a place is not finite. Source: geometry. Evidence: hand sums, additivity.
 */
export function stackVolume(stack: Stack, p: { from: number; to: number }): number {
  requireFinite('from', p.from, 'm');
  requireFinite('to', p.to, 'm');
  if (p.to < p.from) return -stackVolume(stack, { from: p.to, to: p.from });
  let volume = 0;
  for (const piece of stack.pieces) {
    if (piece.to <= p.from || piece.from >= p.to) continue;
    const from = Math.max(piece.from, p.from);
    const to = Math.min(piece.to, p.to);
    const { fold } = piece;
    volume += fold * frustumVolume({ front: diameterOf(piece, from), rear: diameterOf(piece, to), length: to - from });
  }
  return volume;
}
