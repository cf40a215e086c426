import type { GaugeResult } from '../../analysis/dot/gauge.ts';
import type { CircleMark, Dash, Mark } from '../page/marks.ts';
import type { TableDrawing } from '../page/sheet-parts.ts';

export type RingName = GaugeResult['rings'][number]['name'];

/**
 * How the lines of a gauge are drawn. The middle of a line is the diameter of its ring, so that toner that spreads widens
 * both edges and moves nothing.
 */
export interface RingLines {
  readonly widths: Readonly<Record<RingName, number>>; // [mm]
  /** Whether the line of `aim` is as wide as the tolerance: a dot that ends on it is ok. */
  readonly aimIsTolerance: boolean;
  /** Where full rings would run into each other they take turns, each in a third of the way round. */
  readonly inTurns: boolean;
}

/** [mm]. Thinner lines than the least vanish from a light copy before the small print does; a test blurs them. */
const WIDTH = { least: 0.2, greatest: 0.3, band: 0.5 } as const;
/** Least white between two lines [mm], so that a dark copy keeps them apart. */
const WHITE = 0.15;
/** An arc of a ring that takes turns, about so long [mm]. */
const ARC = 2.2;

const ORDER: readonly RingName[] = ['min', 'aim', 'max'];

/** How full rings are told apart without colour: dashes [mm], none for a solid line. */
const DASHES: Readonly<Record<RingName, { readonly dash: Dash | null; readonly words: string }>> = {
  min: { dash: [0.9, 0.6], words: 'short-dashed' },
  aim: { dash: null, words: 'solid' },
  max: { dash: [2.2, 0.8], words: 'long-dashed' },
};

/** The lines for the rings of a gauge: as wide as a copy needs and their gaps allow. */
export function ringLines(gauge: Pick<GaugeResult, 'rings' | 'ok_mm'>): RingLines {
  const radii = gauge.rings.map(r => r.diameter_mm / 2).sort((a, b) => a - b);
  const gap = Math.min(...radii.slice(1).map((r, i) => r - radii[i]!));
  const width = Math.min(WIDTH.greatest, Math.max(WIDTH.least, gap / 2));
  const inTurns = gap < width + WHITE;
  const aim = gauge.rings.find(r => r.name === 'aim')!.diameter_mm;
  const [low, high] = gauge.ok_mm;
  const band = (high - low) / 2;
  const room = 2 * (gap - width / 2 - WHITE);
  const aimIsTolerance =
    !inTurns &&
    band >= WIDTH.least &&
    band <= Math.min(WIDTH.band, room) &&
    Math.abs((low + high) / 2 - aim) < 0.1 * band; // a window that cuts the tolerance leaves it on one side
  return { widths: { min: width, aim: aimIsTolerance ? band : width, max: width }, aimIsTolerance, inTurns };
}

/** One ring about (x, y) [mm] of the page. */
export function ringMark(
  gauge: GaugeResult,
  lines: RingLines,
  { name, x, y }: { readonly name: RingName; readonly x: number; readonly y: number },
): CircleMark {
  const diameter = gauge.rings.find(r => r.name === name)!.diameter_mm;
  const radiusX = diameter / 2 / gauge.scale_x;
  const radiusY = diameter / 2 / gauge.scale_y;
  const mark = { kind: 'circle', x, y, radiusX, radiusY, width: lines.widths[name] } as const;
  const circumference = Math.PI * (radiusX + radiusY);
  if (lines.inTurns) return { ...mark, ...turn(name, circumference) };
  const { dash } = DASHES[name];
  return dash === null ? mark : { ...mark, dash: closed(dash, circumference) };
}

/** The same number of arcs on every ring, each beginning where that of the ring inside it ends. */
function turn(name: RingName, circumference: number): { dash: Dash; phase: number } {
  const arc = circumference / (3 * Math.max(2, Math.round(circumference / (3 * ARC))));
  return { dash: [arc, 2 * arc], phase: ((3 - ORDER.indexOf(name)) % 3) * arc };
}

/** The pattern stretched a little, so that a whole number of repeats closes the ring. */
function closed(dash: Dash, circumference: number): Dash {
  const period = dash.reduce((a, b) => a + b, 0);
  const repeats = Math.max(1, Math.round(circumference / period));
  return dash.map(d => (d * circumference) / (repeats * period));
}

/** A piece of a ring's line, so long [mm], for the row of a table. */
export function ringSample(name: RingName, lines: RingLines, length: number): TableDrawing {
  const piece = (x: number, y: number, from: number, to: number, dash: Dash | null): Mark => ({
    ...{ kind: 'line', x1: x + from, y1: y - 1, x2: x + to, y2: y - 1, width: lines.widths[name] },
    ...(dash !== null && { dash }),
  });
  const { dash, words } = DASHES[name];
  if (!lines.inTurns) return { alt: `${words} line`, draw: (x, y) => [piece(x, y, 0, length, dash)] };
  const place = ORDER.indexOf(name);
  const alt = `${['inner', 'middle', 'outer'][place]} arcs`;
  return { alt, draw: (x, y) => [piece(x, y, (place * length) / 3, ((place + 1) * length) / 3, null)] };
}
