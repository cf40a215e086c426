import type { Spot } from './dark-spots.ts';
import { CORNER_MARK } from './sheet-marks.ts';

/** Something in a picture that looks like a corner mark. */
export interface FoundMark {
  readonly x: number; // [px]
  readonly y: number;
  /** Map from the sheet near the mark [mm] to the picture [px], but for a turn: symmetric, rows first. */
  readonly local: readonly [number, number, number, number];
}

/** Outside of the ring over the disc [-], and how far a blurred picture may be from it. */
const RATIO = CORNER_MARK.ringOutside / CORNER_MARK.disc;
const RATIO_LIMITS = { least: RATIO * 0.78, greatest: RATIO * 1.25 };
/** A picture with more of them is none of a gauge sheet. */
const MOST_MARKS = 14;

/**
 * Discs that stand in the middle of a ring three times as wide. The finder squares of a QR code have the ratio 7 : 3, and their moments
 * are not those of a disc.
 */
export function findMarks(spots: readonly Spot[]): FoundMark[] {
  const rings = new Map<string, Spot[]>();
  for (const spot of spots) {
    if (!isRing(spot)) continue;
    const key = cell(spot.x, spot.y);
    rings.set(key, [...(rings.get(key) ?? []), spot]);
  }
  const found: (FoundMark & { misfit: number })[] = [];
  for (const disc of spots) {
    if (!isDisc(disc)) continue;
    const ring = around(disc.x, disc.y).flatMap(key => rings.get(key) ?? []);
    const misfits = ring.map(r => misfitOf(disc, r)).filter(m => m !== null);
    if (misfits.length > 0) found.push({ ...markOf(disc), misfit: Math.min(...misfits) });
  }
  return found
    .sort((a, b) => a.misfit - b.misfit)
    .slice(0, MOST_MARKS)
    .map(({ misfit: _, ...mark }) => mark);
}

/** A mark of a picture that was made smaller, in the whole one. */
export function enlarged({ x, y, local: [a, b, c, d] }: FoundMark, factor: number): FoundMark {
  return { x: x * factor, y: y * factor, local: [a * factor, b * factor, c * factor, d * factor] };
}

const CELL = 16; // [px]

function cell(x: number, y: number): string {
  return `${Math.floor(x / CELL)} ${Math.floor(y / CELL)}`;
}

function around(x: number, y: number): string[] {
  return [-CELL, 0, CELL].flatMap(dx => [-CELL, 0, CELL].map(dy => cell(x + dx, y + dy)));
}

/** Pixels of an ellipse with the same moments. */
function ellipseArea({ xx, xy, yy }: Spot): number {
  return 4 * Math.PI * Math.sqrt(Math.max(0, xx * yy - xy * xy));
}

function isDisc(spot: Spot): boolean {
  const [wide, high] = [spot.right - spot.left, spot.bottom - spot.top];
  if (wide < 4 || high < 4 || wide > 2 * high || high > 2 * wide) return false;
  const share = spot.area / ellipseArea(spot);
  return share > 0.93 && share < 1.07;
}

/** An annulus of half-width to width 2 : 3 has 0.38 of the area that its moments are of as a disc. */
function isRing(spot: Spot): boolean {
  const [wide, high] = [spot.right - spot.left, spot.bottom - spot.top];
  if (wide < 12 || high < 12 || wide > 2 * high || high > 2 * wide) return false;
  const share = spot.area / ellipseArea(spot);
  return share > 0.24 && share < 0.56;
}

/** How far a disc and a ring are from a mark; null where they are none. */
function misfitOf(disc: Spot, ring: Spot): number | null {
  const inside = ring.left < disc.left && ring.right > disc.right && ring.top < disc.top && ring.bottom > disc.bottom;
  if (!inside) return null;
  const size = Math.sqrt((ring.right - ring.left) * (ring.bottom - ring.top));
  const away = Math.hypot(ring.x - disc.x, ring.y - disc.y) / size;
  const ratio = Math.sqrt(
    ((ring.right - ring.left) * (ring.bottom - ring.top)) / ((disc.right - disc.left) * (disc.bottom - disc.top)),
  );
  if (away > 0.06 || ratio < RATIO_LIMITS.least || ratio > RATIO_LIMITS.greatest) return null;
  return Math.abs(ratio / RATIO - 1) + 4 * away;
}

/** The moments of a disc of radius r under a linear map A are A·Aᵀ·r²/4; A is its symmetric root. */
function markOf(disc: Spot): FoundMark {
  const { xx, xy, yy } = disc;
  const root = Math.sqrt(Math.max(xx * yy - xy * xy, 1e-9));
  const scale = 1 / Math.sqrt(xx + yy + 2 * root);
  const toMm = 2 / (CORNER_MARK.disc / 2);
  const local = [(xx + root) * scale, xy * scale, xy * scale, (yy + root) * scale].map(v => v * toMm);
  return { x: disc.x, y: disc.y, local: local as unknown as FoundMark['local'] };
}
