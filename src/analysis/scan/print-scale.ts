import { matrix, qrFactors, solveWithQr } from '../../numeric/linear-algebra.ts';
import { type Homography, mapped, type Point, type PointPair } from '../../numeric/plane/homography.ts';
import type { SheetCode } from '../sheet/sheet-code.ts';
import { cornerMarks, sheetSize } from '../sheet/sheet-marks.ts';

export interface Density {
  readonly x: number; // pixels in an inch
  readonly y: number;
}

/** A value and the half-width of what it may be off by. */
export interface Doubtful {
  readonly value: number;
  readonly doubt: number;
}

/** What a picture tells of the size of a print, as drawn: true length over drawn length. */
export interface PrintScale {
  /** Null without a density. */
  readonly x: Doubtful | null;
  readonly y: Doubtful | null;
  /** x over y [-]. */
  readonly aspect: Doubtful;
  /** How far the printed axes are from a right angle [deg]; null where a tilt hides it. */
  readonly skew: number | null;
  /** Between the sheet and the plane of the picture [deg], least and greatest. */
  readonly tilt: readonly [number, number];
  /** Of the sheet in the picture, clockwise [deg], 0 to 360. */
  readonly turn: number;
}

export interface Seen {
  readonly toPicture: Homography;
  readonly pairs: readonly PointPair[];
  readonly code: SheetCode;
  /** Of the picture [px]. */
  readonly width: number;
  readonly height: number;
  readonly density: Density | null;
}

/**
 * The scale of a print. A picture without perspective, as of a flatbed, shows lengths of the sheet in pixels, and the density makes
 * them millimetres. In one with perspective the sheet is tilted, and how much is not known without the focal length f of the camera: the axes
 * of the sheet stand at a right angle, which gives f where the tilt is about neither of them; else every f that a camera may have is
 * tried, and the range of what comes out is the doubt. The density then is that where the axis of the camera meets the sheet.
 *
 * Source: Zhang, A flexible new technique for camera calibration, IEEE PAMI 22 (2000) 1330, section 2.3 (the two constraints of one
 * plane), square pixels and the middle of the picture taken as given.
 */
export function printScale(seen: Seen): PrintScale {
  const flat = flatMap(seen);
  return flat === null ? tilted(seen) : flatScale(seen, flat);
}

/** Perspective is there when without it points lie off by this share more, and this much [px]. */
const PERSPECTIVE = { share: 1.25, pixels: 0.03 };

/** The affine map by least squares [px/mm], where it does as well as one with perspective; else null. */
function flatMap({ toPicture, pairs }: Seen): readonly [number, number, number, number] | null {
  const rows = pairs.flatMap(({ from }) => [from.x / 100, from.y / 100, 1]);
  const factors = qrFactors(matrix({ rows: pairs.length, columns: 3 }, rows));
  const [a = 0, b = 0, c = 0] = solveWithQr(
    factors,
    pairs.map(p => p.to.x),
  );
  const [d = 0, e = 0, f = 0] = solveWithQr(
    factors,
    pairs.map(p => p.to.y),
  );
  const affine: Homography = [a / 100, b / 100, c, d / 100, e / 100, f, 0, 0, 1];
  const [without, with_] = [affine, toPicture].map(h => rms(pairs.map(p => distance(mapped(h, p.from), p.to)))) as [
    number,
    number,
  ];
  const freedom = Math.sqrt((2 * pairs.length - 6) / Math.max(1, 2 * pairs.length - 8));
  const limit = Math.max(with_ * freedom * PERSPECTIVE.share, with_ + PERSPECTIVE.pixels);
  return without <= limit ? [a / 100, b / 100, d / 100, e / 100] : null;
}

/** Share of a length by which noise may move it: three standard deviations of both its ends. */
function readingDoubt({ toPicture, pairs, code }: Seen): number {
  const noise = Math.max(0.02, rms(pairs.map(p => distance(mapped(toPicture, p.from), p.to))));
  const corners = cornerMarks(code.paper).map(p => mapped(toPicture, p));
  const length = Math.min(distance(corners[0]!, corners[1]!), distance(corners[0]!, corners[3]!));
  return (3 * Math.SQRT2 * noise) / length / Math.sqrt(Math.max(1, pairs.length / 4));
}

function flatScale(seen: Seen, [a, b, c, d]: readonly [number, number, number, number]): PrintScale {
  const { density } = seen;
  const mm = { x: 25.4 / (density?.x ?? 25.4), y: 25.4 / (density?.y ?? density?.x ?? 25.4) };
  const across = { x: a * mm.x, y: c * mm.y };
  const down = { x: b * mm.x, y: d * mm.y };
  const [x, y] = [Math.hypot(across.x, across.y), Math.hypot(down.x, down.y)];
  const doubt = readingDoubt(seen);
  const sine = (across.x * down.x + across.y * down.y) / (x * y);
  return {
    x: density === null ? null : { value: x, doubt: x * doubt },
    y: density === null ? null : { value: y, doubt: y * doubt },
    aspect: { value: x / y, doubt: (x / y) * doubt * Math.SQRT2 },
    skew: degrees(Math.asin(sine)),
    tilt: [0, 0],
    turn: turnOf(across),
  };
}

/** Focal lengths that cameras have, over the longer side of the picture; a crop makes the greater ones. */
const FOCAL = { least: 0.6, greatest: 12, steps: 240 };
/** A print is no farther from a right angle than this, and a picture no more tilted [deg]. */
const MOST_SKEW = 0.06;
const MOST_TILT = 30;

interface Posed {
  readonly x: number;
  readonly y: number;
  readonly skew: number;
  readonly tilt: number;
}

function tilted(seen: Seen): PrintScale {
  const { toPicture, density } = seen;
  const taken = axisPlaces(seen).flatMap(axis => posesAbout(seen, axis));
  const doubt = readingDoubt(seen);
  const perMm = 25.4 / (density?.x ?? 25.4);
  const range = (of: (p: Posed) => number): Doubtful => {
    const values = taken.map(of);
    const [low, high] = [Math.min(...values), Math.max(...values)];
    const value = (low + high) / 2;
    return { value, doubt: (high - low) / 2 + value * doubt };
  };
  const tilts = taken.map(p => p.tilt);
  const at = mapped(toPicture, { x: 0, y: 0 });
  const right = mapped(toPicture, { x: sheetSize(seen.code.paper).width, y: 0 });
  return {
    x: density === null ? null : range(p => p.x * perMm),
    y: density === null ? null : range(p => p.y * perMm),
    aspect: range(p => p.x / p.y),
    skew: null,
    tilt: [Math.min(...tilts), Math.max(...tilts)],
    turn: turnOf({ x: right.x - at.x, y: right.y - at.y }),
  };
}

/**
 * Where the axis of the camera may meet the picture [px]: in its middle, or a little beside; anywhere about it where a corner of the
 * sheet is missing, because then the picture was cut.
 */
function axisPlaces({ width, height, pairs, code }: Seen): Point[] {
  const corners = cornerMarks(code.paper);
  const whole = corners.every(c => pairs.some(({ from }) => from.x === c.x && from.y === c.y));
  const aside = (whole ? 0.01 : 0.2) * Math.max(width, height);
  const middle = { x: width / 2, y: height / 2 };
  const around = [0, 1, 2, 3, 4, 5, 6, 7].map(k => ({
    x: middle.x + aside * Math.cos((k * Math.PI) / 4),
    y: middle.y + aside * Math.sin((k * Math.PI) / 4),
  }));
  return [middle, ...around];
}

/** All poses that the axes of the sheet and its tilt allow, by the focal lengths that there are. */
function posesAbout(seen: Seen, axis: Point): Posed[] {
  const long = Math.max(seen.width, seen.height);
  const ratio = FOCAL.greatest / FOCAL.least;
  const all = Array.from({ length: FOCAL.steps + 1 }, (_, i) =>
    posed(seen.toPicture, axis, long * FOCAL.least * ratio ** (i / FOCAL.steps)),
  );
  const upright = all.filter(p => p.tilt <= MOST_TILT);
  const least = Math.min(...upright.map(p => Math.abs(p.skew)));
  const possible = upright.filter(p => Math.abs(p.skew) <= Math.max(MOST_SKEW, least * 1.5));
  return possible.length > 0 ? possible : all;
}

/** Scale [px/mm] where the axis of a camera of focal length f [px] meets the sheet, angle of the axes, and tilt [deg]. */
function posed(h: Homography, { x: cx, y: cy }: Point, f: number): Posed {
  const column = (j: number): [number, number, number] => {
    const w = h[6 + j]!;
    return [(h[j]! - cx * w) / f, (h[3 + j]! - cy * w) / f, w];
  };
  const [u, v, origin] = [column(0), column(1), column(2)];
  const [m, n] = [Math.hypot(...u), Math.hypot(...v)];
  const normal = cross(u, v);
  const size = Math.hypot(...normal);
  const perDepth = (f * Math.abs(normal[2])) / Math.abs(dot(normal, origin));
  return {
    x: m * perDepth,
    y: n * perDepth,
    skew: degrees(Math.asin(dot(u, v) / (m * n))),
    tilt: degrees(Math.acos(Math.min(1, Math.abs(normal[2]) / size))),
  };
}

type Vector = readonly [number, number, number];

function cross([x, y, z]: Vector, [u, v, w]: Vector): Vector {
  return [y * w - z * v, z * u - x * w, x * v - y * u];
}

function dot(a: Vector, b: Vector): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

function turnOf({ x, y }: Point): number {
  return (degrees(Math.atan2(y, x)) + 360) % 360;
}

function degrees(radians: number): number {
  return (radians * 180) / Math.PI;
}

function distance(a: Point, b: Point): number {
  return Math.hypot(a.x - b.x, a.y - b.y);
}

function rms(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
}
