import { DomainError, requireFinite, requirePositive } from '../../numeric/domain-error.ts';
import { diameterOf, type Frustum, type PlacedFrustum, type Stack, TOUCHING } from './cavity.ts';

/** How far a needle goes in from the rear. */
export type Seat =
  | { readonly kind: 'seated' /** Behind the end face [m]. */; readonly place: number; readonly index: number }
  /** The rear opening is narrower than the needle, or there is none that all passages share. */
  | { readonly kind: 'does-not-enter'; readonly rear: number }
  /** No place is narrower than the needle: it would come out at the end face. */
  | { readonly kind: 'passes-through'; readonly narrowest: number };

/**
 * Where a needle of an outside diameter [m] bottoms: from the rear forwards, the first place that is narrower. Equal
 * counts as passing. Inside a cone the place is the exact one. A rectangle counts by its smaller side. Where several
 * passages begin side by side it goes no further, however thin it is: it serves them all from the chamber behind.
 *
 * Throws: DomainError when the diameter is not finite and positive or the stack is empty.
 */
export function seatOf(cavity: Stack, outside: number): Seat {
  requirePositive('outside', outside, 'm');
  const last = cavity.pieces.at(-1);
  if (last === undefined) throw new DomainError('cavity.pieces.length', 0, '-', 'at least 1');
  const needed = outside * (1 - TOUCHING);
  if (last.rear < needed || isRow(last)) return { kind: 'does-not-enter', rear: last.rear };
  for (let index = cavity.pieces.length - 1; index >= 0; index--) {
    const piece = cavity.pieces[index] as PlacedFrustum;
    if (isRow(piece)) return { kind: 'seated', place: piece.to, index: index + 1 }; // in the chamber
    if (piece.rear < needed) return { kind: 'seated', place: piece.to, index };
    if (piece.front < needed) {
      const share = (outside - piece.front) / (piece.rear - piece.front); // both differ: rear >= needed > front
      return { kind: 'seated', place: piece.from + piece.length * Math.min(1, share), index };
    }
  }
  const narrowest = Math.min(...cavity.pieces.flatMap(p => [p.front, p.rear]));
  return { kind: 'passes-through', narrowest };
}

function isRow({ count = 1 }: Frustum): boolean {
  return count > 1;
}

/**
 * The pieces from a place forward to the end face, turned in the direction of the flow: the first is at the seat, each
 * one's `front` is its upstream end. What the bore shot fills, for the march of its front.
 */
export function piecesAhead(cavity: Stack, seat: number): Frustum[] {
  requireFinite('seat', seat, 'm');
  return cavity.pieces
    .filter(p => p.from < seat)
    .map(p => {
      const to = Math.min(p.to, seat);
      const { count, sides } = p;
      return {
        ...{ front: diameterOf(p, to), rear: p.front, length: to - p.from },
        ...(count === undefined ? {} : { count }),
        ...(sides === undefined ? {} : { sides }),
      };
    })
    .reverse();
}
