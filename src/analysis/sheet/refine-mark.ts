import { fittedCircle } from '../../numeric/plane/circle-fit.ts';
import { type Homography, mapped, type Point } from '../../numeric/plane/homography.ts';
import { crossing } from '../../numeric/plane/step-edge.ts';
import { brightnessOnRay } from './brightness-ray.ts';
import type { Gray } from './gray-picture.ts';
import { CORNER_MARK } from './sheet-marks.ts';

/** A corner mark to a fraction of a pixel. */
export interface RefinedMark {
  /** Middle in the picture [px]. */
  readonly at: Point;
  /** Measured over true radius of the ring's outer edge by the map that was assumed, and of the ring's inner edge [-]. */
  readonly outside: number;
  readonly inside: number;
  /** Scatter of the edges about their circles [mm]. */
  readonly scatter: number;
}

const DIRECTIONS = 72;
const STEP = 0.02; // along a profile [mm]
const LONGEST = 4; // [mm]
/** Ink must be darker than the paper beside it by this share of it. */
const LEAST_CONTRAST = 0.18;

/**
 * Middle of a corner mark from its three edges (disc, inside and outside of the ring): brightness is read along rays on the sheet
 * through a map from sheet to picture near the mark, and each edge is where it passes half way between ink and paper. Edges
 * that blur, exposure or ink have moved have moved alike all around, which leaves the middle where it is.
 *
 * Null where there is no such mark, or most of it is hidden.
 */
export function refineMark(picture: Gray, toPicture: Homography, middle: Point): RefinedMark | null {
  let at = middle;
  let edges = edgesAround(picture, toPicture, at);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const circles = edges.map(points => (points.length < LEAST_POINTS ? null : fittedCircle(points)));
    const [disc, inside, outside] = circles;
    if (disc == null || inside == null || outside == null) return null;
    const all = [disc, inside, outside];
    const next = { x: mean(all.map(c => c.x)), y: mean(all.map(c => c.y)) };
    const moved = Math.hypot(next.x - at.x, next.y - at.y);
    if (moved > CORNER_MARK.disc) return null;
    at = next;
    if (moved < SETTLED || round === MOST_ROUNDS - 1) {
      const apart = Math.max(...all.map(c => Math.hypot(c.x - at.x, c.y - at.y)));
      if (apart > 0.25) return null;
      return {
        at: mapped(toPicture, at),
        outside: outside.radius / (CORNER_MARK.ringOutside / 2),
        inside: inside.radius / (CORNER_MARK.ringInside / 2),
        scatter: Math.max(...all.map(c => c.scatter)),
      };
    }
    edges = edgesAround(picture, toPicture, at);
  }
  return null;
}

const MOST_ROUNDS = 6;
/** From here another round moves it by far less [mm]. */
const SETTLED = 1e-3;
const LEAST_POINTS = (DIRECTIONS * 2) / 3;

/** Points of the three edges on the sheet [mm], from the inside. */
function edgesAround(picture: Gray, toPicture: Homography, middle: Point): [Point[], Point[], Point[]] {
  const out: [Point[], Point[], Point[]] = [[], [], []];
  const profile = new Float64Array(Math.round(LONGEST / STEP) + 1);
  for (let k = 0; k < DIRECTIONS; k++) {
    const [cos, sin] = [Math.cos((2 * Math.PI * k) / DIRECTIONS), Math.sin((2 * Math.PI * k) / DIRECTIONS)];
    brightnessOnRay(picture, toPicture, { ...middle, dx: STEP * cos, dy: STEP * sin }, profile);
    for (const [n, radius] of edgesOf(profile).entries()) {
      if (radius !== null) out[n]!.push({ x: middle.x + radius * cos, y: middle.y + radius * sin });
    }
  }
  return out;
}

/** Radii of the edges on one ray [mm]; null where ink and paper are not told apart. */
function edgesOf(profile: Float64Array): (number | null)[] {
  const at = (mm: number) => Math.round(mm / STEP);
  const r = { disc: CORNER_MARK.disc / 2, inside: CORNER_MARK.ringInside / 2, outside: CORNER_MARK.ringOutside / 2 };
  const half = (r.outside - r.inside) / 2;
  const darkDisc = least(profile, 0, at(r.disc * 0.6));
  const whiteGap = greatest(profile, at(r.disc + half * 0.5), at(r.inside - half * 0.5));
  const darkRing = least(profile, at(r.inside + half * 0.5), at(r.outside - half * 0.5));
  const whiteOut = greatest(profile, at(r.outside + half * 0.5), at(LONGEST));
  const edge = (dark: { at: number; value: number }, white: { at: number; value: number }): number | null => {
    if (white.value - dark.value < LEAST_CONTRAST * white.value) return null;
    const found = crossing(profile, (dark.value + white.value) / 2, {
      start: dark.at,
      step: white.at > dark.at ? 1 : -1,
    });
    return found === null ? null : found * STEP;
  };
  return [edge(darkDisc, whiteGap), edge(darkRing, whiteGap), edge(darkRing, whiteOut)];
}

function least(profile: Float64Array, from: number, to: number): { at: number; value: number } {
  let best = from;
  for (let i = from; i <= to; i++) if (profile[i]! < profile[best]!) best = i;
  return { at: best, value: profile[best]! };
}

function greatest(profile: Float64Array, from: number, to: number): { at: number; value: number } {
  let best = from;
  for (let i = from; i <= to; i++) if (profile[i]! > profile[best]!) best = i;
  return { at: best, value: profile[best]! };
}

function mean(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0) / values.length;
}

/** The map near a found mark, from the sheet with the mark's middle at zero. */
export function localHomography(m: {
  readonly x: number;
  readonly y: number;
  readonly local: readonly [number, number, number, number];
}): Homography {
  const [a, b, c, d] = m.local;
  return [a, b, m.x, c, d, m.y, 0, 0, 1];
}
