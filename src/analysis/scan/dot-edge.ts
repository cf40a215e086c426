import { type Homography, mapped, type Point } from '../../numeric/plane/homography.ts';
import { brightnessOnRay, type Ray } from '../sheet/brightness-ray.ts';
import { brightnessAt, type Gray } from '../sheet/gray-picture.ts';
import { type FreeCircle, inkAt, inkChangeAt, type Paper, paperAt } from './free-circle.ts';

/** A field in which a dot may lie, in the plane of its circle. */
export interface DotField {
  readonly picture: Gray;
  readonly plane: Homography;
  readonly free: FreeCircle;
  readonly paper: Paper;
  /** Between two places on a ray [mm]. */
  readonly step: number;
}

/** Edge of a dot on one ray from a middle: between two radii [mm], which are one where the edge is seen. */
export interface RayEdge {
  readonly angle: number;
  readonly low: number;
  readonly high: number;
}

/** Where print leaves less of the paper than this, a dot over it is not told from it [-]. */
const LEAST_PAPER = 0.45;

/** How much darker a place is than the free circle, 0 paper or print as it should be, 1 black; and what that may be off by. */
export interface Covering {
  readonly dark: number;
  readonly unsure: number;
}

/** What covers a place. Print that lies a little aside makes it unsure; where print leaves too little paper, nothing is known. */
export function covering(field: DotField, p: Point): Covering {
  const clear = 1 - inkAt(field.free, p.x, p.y);
  if (clear < LEAST_PAPER) return UNKNOWN;
  const dark = 1 - brightnessAt(field.picture, mapped(field.plane, p)) / (paperAt(field.paper, p.x, p.y) * clear);
  return { dark, unsure: (ASIDE * inkChangeAt(field.free, p.x, p.y)) / clear };
}

const UNKNOWN: Covering = { dark: 0, unsure: Number.POSITIVE_INFINITY };

/** What covers the places of a ray. */
export interface CoveringRay {
  readonly dark: Float64Array;
  readonly unsure: Float64Array;
  /** Share of the paper's light that print leaves. */
  readonly clear: Float64Array;
}

/** {@link covering} at so many places of a ray. */
export function coveringOnRay({ picture, plane, free, paper }: DotField, ray: Ray, count: number): CoveringRay {
  const dark = new Float64Array(count);
  const unsure = new Float64Array(count);
  const clear = new Float64Array(count);
  brightnessOnRay(picture, plane, ray, dark);
  for (let i = 0; i < count; i++) {
    const [x, y] = [ray.x + i * ray.dx, ray.y + i * ray.dy];
    const left = 1 - inkAt(free, x, y);
    const known = left >= LEAST_PAPER;
    clear[i] = left;
    dark[i] = known ? 1 - dark[i]! / (paperAt(paper, x, y) * left) : 0;
    unsure[i] = known ? (ASIDE * inkChangeAt(free, x, y)) / left : Number.POSITIVE_INFINITY;
  }
  return { dark, unsure, clear };
}
/** Print lies this far from where it is due, as a share of its change over a pixel: what it explains does not count. */
const ASIDE = 0.6;

/** A dot is darker than its surroundings by this at least, or by so many times the noise [-]. */
const LEAST_DARKNESS = 0.07;
const NOISES = 4;
/** The rim of a clear dot lies within this of its edge [mm]. */
const RIM = 0.6;
export const DIRECTIONS = 180;

/** Above this a place is covered. */
export function threshold({ paper }: DotField): number {
  return Math.max(LEAST_DARKNESS, (NOISES * paper.noise) / Math.max(paper.a, 1));
}

/**
 * The outermost edge on each ray from a middle, of what is darker than a limit: where darkness falls to half of the greatest within a rim inside it. Where print hides
 * the edge, it lies between the last place that is covered and the next that is not. Rays that meet nothing are left out.
 */
export function edgesFrom(field: DotField, middle: Point, limit: number): RayEdge[] {
  const { reach } = field.free;
  const out: RayEdge[] = [];
  for (let k = 0; k < DIRECTIONS; k++) {
    const angle = (2 * Math.PI * k) / DIRECTIONS;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    const along = middle.x * cos + middle.y * sin;
    const longest = Math.sqrt(Math.max(0, reach ** 2 - middle.x ** 2 - middle.y ** 2 + along ** 2)) - along;
    const ray = { ...middle, dx: field.step * cos, dy: field.step * sin };
    const values = coveringOnRay(field, ray, Math.floor(longest / field.step) + 1);
    const edge = outermost(values, limit, Math.ceil(RIM / field.step));
    if (edge !== null) out.push({ angle, low: edge.low * field.step, high: edge.high * field.step });
  }
  return out;
}

/** A place where print changes less than this is taken as it is [-]. */
export const SURE = 0.03;

/** In samples. Two neighbours must be dark, or one beside what print hides: one alone is noise. */
function outermost(ray: CoveringRay, limit: number, rim: number): { low: number; high: number } | null {
  const { dark, unsure } = ray;
  const surely = (i: number) => dark[i]! - unsure[i]!;
  let last = dark.length - 1;
  while (last > 0 && !(surely(last) > limit && (surely(last - 1) > limit || unsure[last - 1]! > SURE))) last--;
  if (last <= 0) return null;
  let level = 0;
  for (let i = last; i >= Math.max(0, last - rim); i--) level = Math.max(level, surely(i) / 2);
  // Out from the last place that is surely above the level, over what print hides, to the first that is surely below.
  let low = last;
  while (low > 0 && surely(low) < level) low--;
  for (let i = low + 1; i < dark.length; i++) {
    if (surely(i) >= level && (i === low + 1 || surely(i - 1) >= level)) low = i;
    if (!isSurelyBare(ray, i, level, limit)) continue;
    const known = i === low + 1 && unsure[i]! < SURE && unsure[low]! < SURE;
    if (!known) return { low, high: i };
    const at = low + (dark[low]! - level) / (dark[low]! - dark[i]!);
    return { low: at, high: at };
  }
  return { low, high: dark.length };
}

/**
 * A place is covered by less than half, whether the dot lets print through, which it then darkens in proportion, or hides it: where print
 * leaves about as much light as such a dot, the dot is not seen, and over darker print it is the brighter of the two.
 */
function isSurelyBare({ dark, unsure, clear }: CoveringRay, i: number, level: number, limit: number): boolean {
  if (dark[i]! + unsure[i]! >= level) return false;
  const hiding = clear[i]! - (1 - 2 * level);
  if (Math.abs(hiding) < limit) return false;
  return hiding > 0
    ? clear[i]! * (dark[i]! + unsure[i]!) < hiding / 2
    : clear[i]! * (dark[i]! - unsure[i]!) > hiding / 2;
}
