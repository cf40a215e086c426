import { type Circle, fittedCircle } from '../../numeric/plane/circle-fit.ts';
import { mapped, type Point } from '../../numeric/plane/homography.ts';
import { outlineArea, outlineWidths } from '../../numeric/plane/outline.ts';
import { type FittedSheet, isVisible } from '../sheet/fit-sheet.ts';
import { brightnessAt, type Gray } from '../sheet/gray-picture.ts';
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
import { dotFall, printFall, TO_NOTHING } from './edge-fall.ts';
import { DARK_FIELD, type FreeCircle, freeCircle, inkAt, paperAround, paperAt } from './free-circle.ts';
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
  const sharp = printFall(picture, sheet);
  const dots: SeenDot[] = [];
  const refused: RefusedDot[] = [];
  for (const { circle, middle } of circlesOf(code)) {
    const plane = circlePlane(toPicture, code, middle);
    if (!isVisible(picture, plane, code)) continue;
    const perMm = pixelsPerMm(toPicture, middle);
    const paper = paperAround(picture, plane, free.reach);
    const field = { picture, plane, free, paper, step: 0.35 / perMm, sharp: sharp / perMm };
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

interface SharpField extends DotField {
  /** How fast print falls in the picture [mm]. */
  readonly sharp: number;
}

/** The dot of a field; null where there is none, and in words why it is not taken. */
function dotOf(field: SharpField, perMm: number): Found | string | null {
  const start = startOf(field);
  if (start === null) return null;
  const limit = Math.max(threshold(field), PALEST * start.dark);
  let middle: Point = start;
  let edges: RayEdge[] = [];
  let circle: Circle | null = null;
  for (let round = 0; round < 4; round++) {
    edges = edgesFrom(field, middle, limit);
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

/** What is paler than this share of a dot is not of it: print that lies a little aside looks darker than it should [-]. */
const PALEST = 1 / 3;

/** Middle of what is covered, and its mean darkness; null where that is no more than dust. */
function startOf(field: DotField): (Point & { readonly dark: number }) | null {
  const { reach } = field.free;
  const limit = threshold(field);
  const step = Math.max(field.step, reach / 80);
  let [n, x, y, sum] = [0, 0, 0, 0];
  for (let px = -reach; px <= reach; px += step) {
    const half = Math.floor(Math.sqrt(reach ** 2 - px ** 2) / step);
    const { dark, unsure } = coveringOnRay(field, { x: px, y: -half * step, dx: 0, dy: step }, 2 * half + 1);
    for (let i = 0; i < dark.length; i++) {
      if (!(dark[i]! - unsure[i]! > limit)) continue;
      n += 1;
      x += px;
      y += (i - half) * step;
      sum += dark[i]!;
    }
  }
  return n * step * step < Math.max(LEAST_AREA, (LEAST_SIDE * field.step) ** 2)
    ? null
    : { x: x / n, y: y / n, dark: sum / n };
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
  field: SharpField,
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
  const body = bodyOf(field, circle, perMm);
  const limit = threshold(field);
  // Noise, and print that lies a little aside, move an edge the more, the paler it is.
  const pixel = (PIXEL_DOUBT / perMm) * (1 + (2 * limit) / Math.max(body.outer, 2 * limit));
  const fades = body.inner > limit && body.outer < FADED * body.inner;
  const even = Math.abs(body.outer - body.inner) <= (1 - FADED) * body.inner;
  // One that hides the print is as dark all over.
  if (body.aside && !(even && body.inner >= 3 * limit))
    return 'it shows the print under it aside, and its own edge does not stand out';
  const fall = dotFall(field, circle);
  // Where enough of the edge is seen all around, the circle is held by it; else by what the places allow that print does not hide.
  const held = seen.length >= LEAST_SEEN * DIRECTIONS && widestGap(seen) < (2 * Math.PI) / 3;
  if (fades && (!held || fall === null))
    return `it grows paler towards its edge, and print hides where it ends${finerWords(perMm)}`;
  if (!held && perMm < LEAST_PER_MM) return `print hides its edge${finerWords(perMm)}`;
  const range = held ? null : radiusRange(edges, { middle: own, radius: circle.radius, slack: pixel / 2 });
  if (range !== null && range.slack > 0.02 * circle.radius + 1 / perMm) return 'its edge is ragged';
  const fitted = (byArea + byCircle) / 2;
  // The edge lies between where darkness is half and where it comes to nothing.
  const beyond = TO_NOTHING * softPart(fall ?? 0, fades ? 0 : SHARPEST * field.sharp);
  const diameter = (range === null ? fitted : range.low + range.high) + beyond;
  const doubt =
    Math.abs(byArea - byCircle) +
    1.25 * beyond +
    pixel +
    (4 * spread) / Math.sqrt(Math.max(1, seen.length / 6)) +
    (range === null ? 0 : range.high - range.low);
  if (doubt > 0.12 * diameter)
    return fades ? 'it grows too slowly paler towards its edge' : `print hides its edge${finerWords(perMm)}`;
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

/** With fewer pixels to the millimetre, 140 to the inch, a line of print is one pixel wide: what it hides is not told from what it is. */
const LEAST_PER_MM = 5.5;

/** At so many pixels to the inch a test reads dots of every size on and between the rings. */
const FINE_DPI = 300;

function finerWords(perMm: number): string {
  const dpi = perMm * 25.4;
  return dpi > 0.9 * FINE_DPI ? '' : ` at ${dpi.toFixed(0)} pixels to the inch; ${FINE_DPI} tell more`;
}

/** A fall this much slower than that of print is one that is not sharp; noise makes the difference [-]. */
const SHARPEST = 1.15;

/** What is left of a fall when that of a sharp edge is taken from it, as widths of blurs add. */
function softPart(fall: number, sharp: number): number {
  return Math.sqrt(Math.max(0, fall ** 2 - sharp ** 2));
}

/** What a dot looks like inside its edge. */
interface Body {
  /** Mean darkness about its middle, and a little inside its edge. */
  readonly inner: number;
  readonly outer: number;
  /** Print is missing where it is due: light that is bent on its way shows it elsewhere. */
  readonly aside: boolean;
}

function bodyOf(field: DotField, circle: Circle, perMm: number): Body {
  const { radius } = circle;
  const rim = radius - Math.max(2 / perMm, 0.06 * radius);
  const inner = meanDark(field, circle, 0.1 * radius, 0.5 * radius);
  const outer = meanDark(field, circle, rim - 0.12 * radius, rim);
  let [n, due, left] = [0, 0, 0];
  for (let share = 0.05; share < 0.93; share += 0.02) {
    for (let k = 0; k < DIRECTIONS; k += 2) {
      const p = pointAt(circle, (2 * Math.PI * k) / DIRECTIONS, share * radius);
      const ink = inkAt(field.free, p.x, p.y);
      if (ink < LINE) continue;
      n += 1;
      due += ink;
      left += 1 - brightnessAt(field.picture, mapped(field.plane, p)) / paperAt(field.paper, p.x, p.y);
    }
  }
  // Print in its place takes its share of what the dot leaves.
  const halfway = outer + ((1 - outer) * due) / n / 2;
  return { inner, outer, aside: n >= DIRECTIONS && left / n < halfway };
}

/** So much ink is a line of the print, and so little hardly any [-]. */
const LINE = 0.3;
const PALE_INK = 0.05;

/** Mean darkness between two radii, where print does not hide it. */
function meanDark(field: DotField, circle: Circle, from: number, to: number): number {
  let [n, sum] = [0, 0];
  for (let i = 0; i <= 8; i++) {
    for (let k = 0; k < DIRECTIONS; k += 2) {
      const p = pointAt(circle, (2 * Math.PI * k) / DIRECTIONS, from + ((to - from) * i) / 8);
      const { dark, unsure } = covering(field, p);
      if (unsure > SURE || inkAt(field.free, p.x, p.y) > PALE_INK) continue;
      n += 1;
      sum += dark;
    }
  }
  return n === 0 ? 0 : sum / n;
}

/** A dot whose outer part is so much paler than its inner one lets light through by its thickness [-]. */
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
