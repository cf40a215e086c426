import { requireFinite } from '../../numeric/domain-error.ts';
import { diameterOf, type PlacedFrustum, type Stack, TOUCHING } from './cavity.ts';
import { isPlain, overlap } from './overlap.ts';

/** The space between cavity and cable, cut at every break point of either, from front to rear. */
export interface Gap {
  readonly cavity: Stack;
  readonly stretches: readonly Stretch[];
}

/** A stretch over which both cavity and cable are straight; `inner` is null behind the cable's end. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly outer: PlacedFrustum;
  readonly inner: PlacedFrustum | null;
  readonly outerIndex: number;
  readonly innerIndex: number;
}

/** Cuts the cavity at every break point of either stack. What of the cable lies outside the cavity is left out. */
export function makeGap(cavity: Stack, cable: Stack): Gap {
  const cuts = [...cavity.pieces.map(p => p.to), ...cable.pieces.flatMap(p => [p.from, p.to])];
  const places = [cavity.from, ...cuts.filter(c => c > cavity.from && c < cavity.to), cavity.to].sort((a, b) => a - b);
  const stretches: Stretch[] = [];
  let i = 0;
  let j = 0;
  for (let k = 0; k + 1 < places.length; k++) {
    const from = places[k] as number;
    const to = places[k + 1] as number;
    if (to <= from) continue;
    const middle = (from + to) / 2;
    while ((cavity.pieces[i] as PlacedFrustum).to < middle) i++;
    while (j < cable.pieces.length && (cable.pieces[j] as PlacedFrustum).to < middle) j++;
    const candidate = cable.pieces[j];
    const inner = candidate !== undefined && candidate.from <= middle ? candidate : null;
    stretches.push({ from, to, outer: cavity.pieces[i] as PlacedFrustum, inner, outerIndex: i, innerIndex: j });
  }
  return { cavity, stretches };
}

/** D² − d² [m²], each as often as its area has it; without the cancellation of two squares where that is the same. */
function squareGap(s: Stretch, place: number): number {
  const outer = diameterOf(s.outer, place);
  const inner = s.inner === null ? 0 : diameterOf(s.inner, place);
  const { fold } = s.outer;
  const within = s.inner?.fold ?? fold;
  if (fold === within) return fold * ((outer - inner) * (outer + inner));
  return fold * outer * outer - within * inner * inner;
}

/** Free volume [m³] of a stretch up to `to`; Simpson's rule is exact, since D² − d² is a parabola there. */
function gapVolume(s: Stretch, from: number, to: number): number {
  const sum = squareGap(s, from) + 4 * squareGap(s, (from + to) / 2) + squareGap(s, to);
  return (Math.PI / 4) * ((to - from) / 6) * sum;
}

/**
 * Volume [m³] between cavity and cable between two places, exact: both are cut at every break point of either.
 *
 *   V = ∫ (π/4)·(D² − d²) dx
 *
 * Shape: signed, negative when `to` lies in front of `from`; nothing outside the cavity.
 * Throws: DomainError when a place is not finite. Source: geometry.
 * Evidence: hand sums; gross = cable + free for random stacks.
 */
export function freeVolume(gap: Gap, p: { from: number; to: number }): number {
  requireFinite('from', p.from, 'm');
  requireFinite('to', p.to, 'm');
  if (p.to < p.from) return -freeVolume(gap, { from: p.to, to: p.from });
  let volume = 0;
  for (const s of gap.stretches) {
    const from = Math.max(s.from, p.from);
    const to = Math.min(s.to, p.to);
    if (to > from) volume += gapVolume(s, from, to);
  }
  return volume;
}

/**
 * Place [m] up to which a free volume [m³] behind `from` [m] reaches: the inverse of {@link freeVolume}; null where the
 * cavity is full before. A negative volume counts forward from `from`.
 *
 * Throws: DomainError when an argument is not finite. Where nothing is free the foremost place is given.
 */
export function placeOfFreeVolume(gap: Gap, p: { from: number; volume: number }): number | null {
  const { cavity } = gap;
  requireFinite('from', p.from, 'm');
  requireFinite('volume', p.volume, 'm³');
  let remaining = p.volume + freeVolume(gap, { from: cavity.from, to: p.from });
  const rounding = 1e-12 * Math.abs(freeVolume(gap, { from: cavity.from, to: cavity.to }));
  if (remaining < -rounding) return null;
  for (const s of gap.stretches) {
    const volume = gapVolume(s, s.from, s.to);
    if (remaining <= volume) return placeInStretch(s, remaining);
    remaining -= volume;
  }
  return remaining <= rounding ? cavity.to : null;
}

/** Newton on a volume that only grows, kept inside the stretch by bisection. */
function placeInStretch(s: Stretch, volume: number): number {
  let low = s.from;
  let high = s.to;
  if (volume <= 0) return low;
  let place = low + (high - low) * Math.min(1, volume / gapVolume(s, low, high));
  for (let i = 0; i < 100; i++) {
    const error = gapVolume(s, s.from, place) - volume;
    if (Math.abs(error) <= 1e-15 * volume) return place;
    if (error > 0) high = place;
    else low = place;
    const slope = (Math.PI / 4) * squareGap(s, place);
    const newton = slope > 0 ? place - error / slope : Number.NaN;
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - place) <= 1e-15 * s.to) return next;
    place = next;
  }
  return place;
}

/** Where a cable is thicker than the cavity around it. */
export interface Interference {
  /** Index of the cavity piece and of the cable piece. */
  readonly cavityIndex: number;
  readonly cableIndex: number;
  /** Places between which the two overlap [m]. */
  readonly from: number;
  readonly to: number;
  /** Place [m] and amount [m, on the diameter] of the worst overlap. */
  readonly place: number;
  readonly amount: number;
}

/**
 * Everywhere that the cable is thicker than the cavity, one entry for each pair of pieces, front to rear. Both are
 * straight between the cuts, so that looking at both sides of every cut misses nothing. Touching fits.
 */
export function interferences(gap: Gap): Interference[] {
  return gap.stretches.flatMap(s => {
    if (s.inner === null) return [];
    const grace = TOUCHING * Math.max(s.outer.front, s.outer.rear);
    const excess = excessOf(s.outer, s.inner);
    const front = excess(s.from);
    const rear = excess(s.to);
    if (front <= grace && rear <= grace) return [];
    const crossing = s.from + ((s.to - s.from) * front) / (front - rear); // not used where the signs agree
    return [
      {
        cavityIndex: s.outerIndex,
        cableIndex: s.innerIndex,
        from: front > 0 ? s.from : crossing,
        to: rear > 0 ? s.to : crossing,
        place: front >= rear ? s.from : s.to,
        amount: Math.max(front, rear),
      },
    ];
  });
}

/** By how much a cable is thicker than the cavity at a place [m, on the diameter]; below zero where it has room. */
function excessOf(outer: PlacedFrustum, inner: PlacedFrustum): (place: number) => number {
  if (isPlain(outer) && isPlain(inner)) return place => diameterOf(inner, place) - diameterOf(outer, place);
  return place => overlap(sectionAt(outer, place), sectionAt(inner, place));
}

function sectionAt(piece: PlacedFrustum, place: number) {
  return { diameter: diameterOf(piece, place), count: piece.count ?? 1, sides: piece.sides, pitch: piece.pitch };
}
