import type { GaugeResult } from '../../analysis/dot/gauge.ts';
import type { Block, CircleMark, Dash, Mark } from '../page/marks.ts';
import { rule, type TableDrawing, TYPE, text, tickBox } from '../page/sheet-parts.ts';

type RingName = GaugeResult['rings'][number]['name'];

/** How the rings are told apart without colour: dashes [mm], none for a solid line. */
const RING_STYLES: Readonly<Record<RingName, { readonly dash: Dash | null; readonly words: string }>> = {
  min: { dash: [0.45, 0.45], words: 'short-dashed' },
  aim: { dash: null, words: 'solid' },
  max: { dash: [1.8, 0.7], words: 'long-dashed' },
};

/** A piece of a ring's line for the row of a table, `length` and `width` in [mm]. */
export function ringSample(name: RingName, { length, width }: { length: number; width: number }): TableDrawing {
  const { dash, words } = RING_STYLES[name];
  return {
    alt: `${words} line`,
    draw: (x, baseline): Mark[] => [
      { kind: 'line', x1: x, y1: baseline - 1, x2: x + length, y2: baseline - 1, width, ...(dash && { dash }) },
    ],
  };
}

/** Line width of rings [mm]: thin against the gap between two rings, but no thinner than a printer can hold. */
export function ringWidth(gauge: GaugeResult): number {
  const diameters = gauge.rings.map(r => r.diameter_mm).sort((a, b) => a - b);
  const gaps = diameters.slice(1).map((d, i) => (d - diameters[i]!) / 2);
  return Math.min(0.15, Math.max(0.07, 0.4 * Math.min(...gaps)));
}

export interface GaugeCell {
  readonly gauge: GaugeResult;
  readonly number: number;
  /** Middle of the circle [mm]. */
  readonly x: number;
  readonly y: number;
}

const CAPTION = 14; // from the largest ring to the foot of the tick boxes [mm]

/** One circle of the gauge: its rings, a cross to aim at, its number, a line for the reading and three boxes to tick. */
export function gaugeCell(cell: GaugeCell): Block {
  const { gauge, x, y } = cell;
  const largest = Math.max(...gauge.rings.map(r => r.diameter_mm)) / gauge.scale_y;
  const width = ringWidth(gauge);
  const rings = gauge.rings.map((r): Block => {
    const mark = ring({ x, y, name: r.name, diameter: r.diameter_mm, width, gauge });
    return { tag: 'Figure', alt: `${r.name} ring, ${r.diameter_mm.toFixed(2)} mm across`, marks: [mark] };
  });
  const foot = y + largest / 2;
  return {
    tag: 'Sect',
    blocks: [
      { tag: 'P', marks: [text(x - 12.6, foot + 6.6, String(cell.number), TYPE.heading, { font: 'semibold' })] },
      ...rings,
      { tag: 'Artifact', marks: cross(x, y, gauge) },
      { tag: 'P', marks: [rule(x - 6, x + 7.4, foot + 7.2), text(x + 8.4, foot + 6.6, 'mm', TYPE.small)] },
      ticks(x, foot + CAPTION),
    ],
  };
}

function ring(p: {
  x: number;
  y: number;
  name: RingName;
  diameter: number;
  width: number;
  gauge: GaugeResult;
}): CircleMark {
  const radiusX = p.diameter / 2 / p.gauge.scale_x;
  const radiusY = p.diameter / 2 / p.gauge.scale_y;
  const dash = RING_STYLES[p.name].dash;
  const mark = { kind: 'circle', x: p.x, y: p.y, radiusX, radiusY, width: p.width } as const;
  return dash === null ? mark : { ...mark, dash: closed(dash, Math.PI * (radiusX + radiusY)) };
}

/** The pattern stretched a little, so that a whole number of repeats closes the ring. */
function closed(dash: Dash, circumference: number): Dash {
  const period = dash.reduce((a, b) => a + b, 0);
  const repeats = Math.max(1, Math.round(circumference / period));
  return dash.map(d => (d * circumference) / (repeats * period));
}

function cross(x: number, y: number, gauge: GaugeResult): Mark[] {
  const arm = Math.min(0.6, Math.min(...gauge.rings.map(r => r.diameter_mm)) * 0.08); // [mm]
  return [
    { kind: 'line', x1: x - arm, y1: y, x2: x + arm, y2: y, width: 0.08 },
    { kind: 'line', x1: x, y1: y - arm, x2: x, y2: y + arm, width: 0.08 },
  ];
}

function ticks(x: number, y: number): Block {
  const boxes = [tickBox(x - 12.6, y, 'low'), tickBox(x - 3.6, y, 'ok'), tickBox(x + 4.6, y, 'high')];
  return { tag: 'P', marks: boxes.flatMap(b => [b.box, b.label]) };
}
