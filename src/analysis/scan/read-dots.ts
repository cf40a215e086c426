import { type Circle, fittedCircle } from '../../numeric/plane/circle-fit.ts';
import type { Point } from '../../numeric/plane/homography.ts';
import { outlineArea, outlineWidths } from '../../numeric/plane/outline.ts';
import { type FittedSheet, isVisible } from '../sheet/fit-sheet.ts';
import type { Gray } from '../sheet/gray-picture.ts';
import { circlePlane, circlesOf, pixelsPerMm } from '../sheet/sheet-circles.ts';
import {
  covering,
  coveringOnRay,
  DIRECTIONS,
  type DotField,
  edgesFrom,
  type RayEdge,
  SURE,
  threshold,
} from './dot-edge.ts';
import { DARK_FIELD, type FreeCircle, freeCircle, paperAround } from './free-circle.ts';
import { radiusRange } from './radius-range.ts';

/** A dot on a circle of the sheet, by the sheet as a ruler [mm]. */
export interface SeenDot {
  readonly circle: number;
  /** Mean of the two. */
  readonly diameter: number;
  /** Half-width of what it may be off by. */
  readonly doubt: number;
  /** Of the circle with the same area, and of the circle by least squares. */
  readonly byArea: number;
  readonly byCircle: number;
  /** Greatest less least width over their mean [-]. */
  readonly outOfRound: number;
  /** Middle of the dot from that of the circle. */
  readonly middle: Point;
  readonly outline: readonly Point[];
}

export interface RefusedDot {
  readonly circle: number;
  readonly why: string;
}

export interface SeenDots {
  readonly dots: readonly SeenDot[];
  readonly refused: readonly RefusedDot[];
}

/** Less than this is dust [mm²]. */
const LEAST_AREA = 0.2;
/** And less than so many steps each way is noise. */
const LEAST_SIDE = 18;
/** A dot that is farther from round is two, or has run [-]. */
const MOST_OUT_OF_ROUND = 0.05;
/** Rays on which the edge must be met, and seen [-]. */
const LEAST_MET = 0.7;
const LEAST_SEEN = 0.25;
/** Dots smaller than this are not measured [px]. */
const LEAST_PIXELS = 8;
/** What blur, exposure and the step of pixels leave of a diameter [px]. */
const PIXEL_DOUBT = 0.3;

/** Dots on the circles of a page. Null where no circle is free: print and dot are then not told apart. */
export function readDots(picture: Gray, sheet: FittedSheet): SeenDots | null {
  const free = freeCircle(picture, sheet);
  if (free === null) return null;
  const { code, toPicture } = sheet;
  const dots: SeenDot[] = [];
  const refused: RefusedDot[] = [];
  for (const { circle, middle } of circlesOf(code)) {
    const plane = circlePlane(toPicture, code, middle);
    if (!isVisible(picture, plane, code)) continue;
    const perMm = pixelsPerMm(toPicture, middle);
    const field = { picture, plane, free, paper: paperAround(picture, plane, free.reach), step: 0.35 / perMm };
    if (field.paper.a < DARK_FIELD * paperNear(free, middle)) {
      refused.push({ circle, why: OUT_OF_FIELD });
      continue;
    }
    const seen = dotOf(field, perMm);
    if (seen === null) continue;
    if (typeof seen === 'string') refused.push({ circle, why: seen });
    else dots.push({ circle, ...seen, doubt: seen.doubt + (2 * sheet.misfit * seen.diameter) / 50 });
  }
  return { dots, refused };
}

const OUT_OF_FIELD = 'it reaches out of the field of its circle';
/** Brightness of the paper about the nearest free circle. */
function paperNear({ papers }: FreeCircle, at: Point): number {
  const away = (p: Point) => Math.hypot(p.x - at.x, p.y - at.y);
  return papers.reduce((near, p) => (away(p) < away(near) ? p : near)).brightness;
}

type Found = Omit<SeenDot, 'circle'>;

/** The dot of a field; null where there is none, and in words why it is not taken. */
function dotOf(field: DotField, perMm: number): Found | string | null {
  const start = startOf(field);
  if (start === null) return null;
  let middle: Point = start;
  let edges: RayEdge[] = [];
  let circle: Circle | null = null;
  for (let round = 0; round < 4; round++) {
    edges = edgesFrom(field, middle);
    if (edges.length < LEAST_MET * DIRECTIONS || widestGap(edges) > Math.PI / 3)
      return 'its edge is not seen all around';
    circle = circleOf(edges, middle);
    if (circle === null) return 'its edge is on no circle';
    if (Math.hypot(circle.x, circle.y) > field.free.reach) return OUT_OF_FIELD;
    if (Math.hypot(circle.x - middle.x, circle.y - middle.y) < 0.01) break;
    middle = { x: circle.x, y: circle.y };
  }
  return circle === null ? null : judged(field, { circle, middle, edges, perMm });
}

/** Middle of what is covered; null where that is no more than dust. */
function startOf(field: DotField): Point | null {
  const { reach } = field.free;
  const limit = threshold(field);
  const step = Math.max(field.step, reach / 80);
  let [n, x, y] = [0, 0, 0];
  for (let px = -reach; px <= reach; px += step) {
    const half = Math.floor(Math.sqrt(reach ** 2 - px ** 2) / step);
    const { dark, unsure } = coveringOnRay(field, { x: px, y: -half * step, dx: 0, dy: step }, 2 * half + 1);
    for (let i = 0; i < dark.length; i++) {
      if (!(dark[i]! - unsure[i]! > limit)) continue;
      n += 1;
      x += px;
      y += (i - half) * step;
    }
  }
  return n * step * step < Math.max(LEAST_AREA, (LEAST_SIDE * field.step) ** 2) ? null : { x: x / n, y: y / n };
}

/** The edge lies between two places on end, and is no guess. */
const isSeen = (e: RayEdge) => e.high - e.low < 1e-9;

/** The circle by least squares; an edge that print hides is put where the circle has it, as far as it may be there. */
function circleOf(edges: readonly RayEdge[], middle: Point): Circle | null {
  let radii = edges.map(e => (e.low + e.high) / 2);
  let circle: Circle | null = null;
  for (let round = 0; round < 12; round++) {
    circle = fittedCircle(edges.map((e, i) => pointAt(middle, e.angle, radii[i]!)));
    if (circle === null) return null;
    const { x, y, radius } = circle;
    radii = edges.map(e =>
      Math.min(e.high, Math.max(e.low, reachOf({ x: x - middle.x, y: y - middle.y, radius }, e.angle))),
    );
  }
  return circle;
}

/** Distance from zero, along a direction, to a circle around it. */
function reachOf({ x, y, radius }: { x: number; y: number; radius: number }, angle: number): number {
  const along = x * Math.cos(angle) + y * Math.sin(angle);
  return along + Math.sqrt(Math.max(0, radius ** 2 - (x * x + y * y - along ** 2)));
}

function pointAt(middle: Point, angle: number, radius: number): Point {
  return { x: middle.x + radius * Math.cos(angle), y: middle.y + radius * Math.sin(angle) };
}

function judged(
  field: DotField,
  { circle, middle, edges, perMm }: { circle: Circle; middle: Point; edges: readonly RayEdge[]; perMm: number },
): Found | string {
  const own = { x: circle.x - middle.x, y: circle.y - middle.y, radius: circle.radius };
  const radii = edges.map(e => (isSeen(e) ? e.low : Math.min(e.high, Math.max(e.low, reachOf(own, e.angle)))));
  const outline = smoothed(radii).map((r, i) => pointAt(middle, edges[i]!.angle, r));
  if (2 * circle.radius * perMm < LEAST_PIXELS) return 'it is too small for the pixels of the picture';
  const far = Math.max(...outline.map(p => Math.hypot(p.x, p.y)));
  if (far > field.free.reach - 2 / perMm) return OUT_OF_FIELD;
  const byArea = 2 * Math.sqrt(outlineArea(outline) / Math.PI);
  const byCircle = 2 * circle.radius;
  const widths = outlineWidths(outline);
  const outOfRound = (2 * (widths.greatest - widths.least)) / (widths.greatest + widths.least);
  if (outOfRound > MOST_OUT_OF_ROUND)
    return `it is ${(100 * outOfRound).toFixed(0)} % out of round: two that touch, or one that ran`;
  const seen = edges.filter(isSeen);
  const spread = rms(seen.map(e => e.low - reachOf(own, e.angle)));
  if (seen.length >= 8 && spread > 0.04 * circle.radius + 1.2 / perMm) return 'its edge is ragged';
  const soft = softness(field, circle, perMm);
  const pixel = PIXEL_DOUBT / perMm;
  // Where enough of the edge is seen all around, the circle is held by it; else by what the places allow that print does not hide.
  const held = seen.length >= LEAST_SEEN * DIRECTIONS && widestGap(seen) < (2 * Math.PI) / 3;
  if (!held && fades(field, circle)) return 'it grows paler towards its edge, and print hides where it ends';
  const range = held ? null : radiusRange(edges, { middle: own, radius: circle.radius, slack: pixel / 2 });
  if (range !== null && range.slack > 0.02 * circle.radius + 1 / perMm) return 'its edge is ragged';
  const fitted = (byArea + byCircle) / 2;
  const diameter = (range === null ? fitted : range.low + range.high) + 2 * soft;
  const doubt =
    Math.abs(byArea - byCircle) +
    1.4 * soft +
    pixel +
    (4 * spread) / Math.sqrt(Math.max(1, seen.length / 6)) +
    (range === null ? 0 : range.high - range.low);
  if (doubt > 0.12 * diameter) return 'print hides its edge';
  return {
    diameter,
    doubt,
    byArea: byArea + diameter - fitted,
    byCircle: byCircle + diameter - fitted,
    outOfRound,
    middle: { x: circle.x, y: circle.y },
    outline,
  };
}

/** A sharp edge falls from half to a fifth of its darkness over this, by lens and pixels [px], and by its own raggedness [mm]. */
const SHARP = { pixels: 1.1, mm: 0.02 };

/**
 * How far a dot goes on beyond where its darkness is half [mm]: nothing for one that ends sharply. A translucent dot grows thinner towards its
 * edge, and paler in proportion; its edge is where the line through half and a fifth of the darkness comes to nothing. By the mean
 * of all rays, which noise moves less than a ray alone.
 */
function softness(field: DotField, circle: Circle, perMm: number): number {
  const bins = Math.ceil(1.2 / field.step);
  const means = new Float64Array(bins);
  for (let i = 0; i < bins; i++) {
    let [n, sum] = [0, 0];
    const radius = circle.radius + (i - bins / 2) * field.step;
    for (let k = 0; k < DIRECTIONS; k++) {
      const p = pointAt(circle, (2 * Math.PI * k) / DIRECTIONS, Math.max(0, radius));
      const { dark, unsure } = covering(field, p);
      if (unsure > SURE) continue;
      n += 1;
      sum += dark;
    }
    means[i] = n < DIRECTIONS / 12 ? Number.NaN : sum / n;
  }
  const known = means.filter(v => !Number.isNaN(v));
  if (known.length < (2 * bins) / 3) return 0;
  const greatest = Math.max(...known.subarray(0, known.length / 2));
  const last = (level: number) => means.findLastIndex(v => v >= level * greatest);
  const fall = (last(0.2) - last(0.5)) * field.step;
  return (Math.max(0, fall - SHARP.pixels / perMm - SHARP.mm) * 5) / 3;
}

/** Its outer part is paler than its inner one, as where a dot lets light through by its thickness. */
function fades(field: DotField, circle: Circle): boolean {
  const [inner, outer] = [
    [0.1, 0.5],
    [0.7, 0.9],
  ].map(([from = 0, to = 0]) => {
    let [n, sum] = [0, 0];
    for (let share = from; share <= to; share += 0.05) {
      for (let k = 0; k < DIRECTIONS; k += 2) {
        const p = pointAt(circle, (2 * Math.PI * k) / DIRECTIONS, share * circle.radius);
        const { dark, unsure } = covering(field, p);
        if (unsure > SURE) continue;
        n += 1;
        sum += dark;
      }
    }
    return n === 0 ? 0 : sum / n;
  }) as [number, number];
  return inner > threshold(field) && outer < FADED * inner;
}

const FADED = 0.85;

/** Mean of nine neighbours: an outline has no corners that are narrower. */
function smoothed(radii: readonly number[]): number[] {
  const n = radii.length;
  return radii.map((_, i) => {
    let sum = 0;
    for (let k = -4; k <= 4; k++) sum += radii[(i + k + n) % n]!;
    return sum / 9;
  });
}

function widestGap(edges: readonly RayEdge[]): number {
  const angles = edges.map(e => e.angle);
  return Math.max(...angles.map((a, i) => (i === 0 ? a + 2 * Math.PI - angles.at(-1)! : a - angles[i - 1]!)));
}

function rms(values: readonly number[]): number {
  return values.length === 0 ? 0 : Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
}
