import { diameterOf, type PlacedFrustum } from '../../physics/cavity/cavity.ts';
import { freeVolume, type Gap, placeOfFreeVolume, type Stretch } from '../../physics/cavity/gap.ts';
import { isPlain } from '../../physics/cavity/overlap.ts';
import { type Slit, wickedAlong } from '../../physics/cavity/wicking.ts';
import type { CavityBook } from '../cavity/cavity-book.ts';

/** What keeps resin from being drawn further. */
export type ReachBound = 'gel' | 'oven' | 'resin' | 'gap' | 'end' | 'wetting';

export interface WickedReach {
  readonly length: number; // [m]
  readonly bound: ReachBound;
  /** Gap of one side behind the reach, and the widest that is filled [m]. */
  readonly gap: number;
  readonly widest: number;
}

/** 90 deg in radians has a cosine a little off zero. */
const NOT_WETTING = 1e-9;
/** Slices of a stretch whose gap changes along it. */
const SLICES = 32;

/**
 * How far resin is drawn behind the reach into the narrow gap between cavity and cable, out of the wider gaps in front of
 * it; null where the connector has no reach, or no cable behind it. Never more than those wider gaps hold.
 */
export function wickedReach(
  { gap, reach }: Pick<CavityBook, 'gap' | 'reach'>,
  p: { fluidity: number; surfaceTension: number; contactAngle: number; gelled: boolean },
): WickedReach | null {
  const from = reach.aim;
  if (gap === null || from === null) return null;
  const behind = slitsBehind(gap, from);
  const first = behind.slits[0];
  if (first === undefined) return null;
  const filled = gap.stretches.flatMap(s => slices(s, { from: gap.cavity.from, to: from }));
  const widest = Math.max(first.gap, ...filled.map(slit => slit.gap));
  const wicked = wickedAlong({ ...p, slits: behind.slits, reservoirGap: widest });
  const supply = filled.reduce((sum, s) => (s.gap > first.gap ? sum + freeVolume(gap, s) : sum), 0);
  const drained = placeOfFreeVolume(gap, { from, volume: supply });
  const most = drained === null ? Number.POSITIVE_INFINITY : drained - from;
  if (wicked.length > most) return { length: most, bound: 'resin', gap: first.gap, widest };
  if (Math.cos(p.contactAngle) < NOT_WETTING) return { length: 0, bound: 'wetting', gap: first.gap, widest };
  const bound = { time: p.gelled ? 'gel' : 'oven', pull: 'gap', slits: 'end' } as const;
  return { length: wicked.length, bound: bound[wicked.end], gap: first.gap, widest };
}

interface PlacedSlit extends Slit {
  readonly from: number;
  readonly to: number;
}

/** From the reach back to the end of cavity or cable, or to where the two touch. */
function slitsBehind(gap: Gap, reach: number): { slits: readonly Slit[] } {
  const slits: Slit[] = [];
  for (const stretch of gap.stretches) {
    if (stretch.to <= reach) continue;
    if (stretch.inner === null) break;
    const parts = slices(stretch, { from: reach, to: stretch.to });
    slits.push(...parts);
    if (parts.some(part => part.gap <= 0)) break;
  }
  const touching = slits.findIndex(slit => !(slit.gap > 0));
  return { slits: touching === -1 ? slits : slits.slice(0, touching) };
}

/** A stretch between two places, cut where its gap is not the same all along. */
function slices(stretch: Stretch, p: { from: number; to: number }): PlacedSlit[] {
  const { outer, inner } = stretch;
  const [from, to] = [Math.max(stretch.from, p.from), Math.min(stretch.to, p.to)];
  if (to <= from || inner === null) return [];
  const gapAt = (place: number) => meanGap(outer, inner, place);
  const count = outer.front === outer.rear && inner.front === inner.rear ? 1 : SLICES;
  return Array.from({ length: count }, (_, i) => {
    const [a, b] = [from + ((to - from) * i) / count, from + ((to - from) * (i + 1)) / count];
    return { from: a, to: b, length: b - a, gap: gapAt((a + b) / 2) };
  });
}

/**
 * Gap [m] between cavity and cable: the radial one, and where either is a row or a rectangle twice the free area over the
 * wetted perimeter, which is the same for a ring and for the even gap between two rectangles.
 */
function meanGap(outer: PlacedFrustum, inner: PlacedFrustum, place: number): number {
  const [around, within] = [diameterOf(outer, place), diameterOf(inner, place)];
  if (isPlain(outer) && isPlain(inner)) return (around - within) / 2;
  const area = (Math.PI / 4) * (outer.fold * around * around - inner.fold * within * within);
  return (2 * area) / (perimeter(outer, around) + perimeter(inner, within));
}

function perimeter({ count = 1, sides }: PlacedFrustum, diameter: number): number {
  return count * (sides === undefined ? Math.PI * diameter : 2 * (sides.width + sides.height));
}
