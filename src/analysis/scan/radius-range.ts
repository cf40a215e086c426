import type { Point } from '../../numeric/plane/homography.ts';
import type { RayEdge } from './dot-edge.ts';

/** Least and greatest radius that a round dot can have, and what it may miss the edges by for that [mm]. */
export interface RadiusRange {
  readonly low: number;
  readonly high: number;
  readonly slack: number;
}

/** Middles are tried so far from the one that was fitted, as a share of its radius, on so many places each way; then finer about the best. */
const REACH = 0.12;
const PLACES = 6;
const ZOOMS = 5;
const CLOSER = 3;
/** So many rays, of 180, may have met dust, or print that was taken for an edge; on either side. In a coarse picture a pixel is on three. */
const STRAYS = 9;

/**
 * The radii of all circles that pass each ray between its two bounds, or miss them by no more than the least slack that lets one pass. For
 * middles near to where the rays start, a circle of radius R about (x, y) crosses the ray of angle φ at R + x·cos φ + y·sin φ.
 */
export function radiusRange(
  edges: readonly RayEdge[],
  p: { middle: Point; radius: number; slack: number },
): RadiusRange {
  const cos = Float64Array.from(edges, e => Math.cos(e.angle));
  const sin = Float64Array.from(edges, e => Math.sin(e.angle));
  const [lows, highs] = [new Float64Array(STRAYS + 1), new Float64Array(STRAYS + 1)];
  const at = (x: number, y: number): { low: number; high: number } => {
    lows.fill(-1e9);
    highs.fill(-1e9);
    for (let i = 0; i < edges.length; i++) {
      const along = x * cos[i]! + y * sin[i]!;
      const low = edges[i]!.low - along;
      const high = along - edges[i]!.high;
      if (low > lows[STRAYS]!) putIn(lows, low);
      if (high > highs[STRAYS]!) putIn(highs, high);
    }
    return { low: lows[STRAYS]!, high: -highs[STRAYS]! };
  };
  // Half of what the bounds contradict each other by for a middle.
  const needed = (x: number, y: number) => {
    const { low, high } = at(x, y);
    return (low - high) / 2;
  };
  const best = searched(p, (x, y) => -needed(x, y));
  const slack = Math.max(p.slack, needed(best.x, best.y) + p.slack / 2);
  const allowed = (x: number, y: number) => needed(x, y) <= slack;
  const greatest = searched(p, (x, y) => (allowed(x, y) ? at(x, y).high : -1e3 - needed(x, y)));
  const least = searched(p, (x, y) => (allowed(x, y) ? -at(x, y).low : -1e3 - needed(x, y)));
  return { low: at(least.x, least.y).low - slack, high: at(greatest.x, greatest.y).high + slack, slack };
}

/** Keeps a list in order, greatest first, and drops its last, which must be less. */
function putIn(list: Float64Array, value: number): void {
  let i = list.length - 1;
  for (; i > 0 && value > list[i - 1]!; i--) list[i] = list[i - 1]!;
  list[i] = value;
}

/** The middle of greatest value, by a grid that is made finer about its best place. */
function searched(
  { middle, radius }: { middle: Point; radius: number },
  value: (x: number, y: number) => number,
): Point {
  let best = { ...middle, value: value(middle.x, middle.y) };
  let reach = REACH * radius;
  for (let zoom = 0; zoom < ZOOMS; zoom++) {
    const { x: cx, y: cy } = best;
    for (let i = -PLACES; i <= PLACES; i++) {
      for (let j = -PLACES; j <= PLACES; j++) {
        const [x, y] = [cx + (i * reach) / PLACES, cy + (j * reach) / PLACES];
        const here = value(x, y);
        if (here > best.value) best = { x, y, value: here };
      }
    }
    reach /= CLOSER;
  }
  return best;
}
