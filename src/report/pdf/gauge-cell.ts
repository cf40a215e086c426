import type { GaugeResult } from '../../analysis/dot/gauge.ts';
import type { Block, Mark } from '../page/marks.ts';
import { rule, TYPE, text, tickBox } from '../page/sheet-parts.ts';
import type { LengthUnit } from '../words/display-units.ts';
import { ringLines, ringMark } from './gauge-rings.ts';

export interface GaugeCell {
  readonly gauge: GaugeResult;
  readonly number: number;
  /** Middle of the circle [mm]. */
  readonly x: number;
  readonly y: number;
  readonly length: LengthUnit;
}

const CAPTION = 15.8; // from the largest ring to the foot of the tick boxes [mm]

/** One circle of the gauge: its rings, a cross to aim at, its number, a line for the reading and four boxes to tick. */
export function gaugeCell(cell: GaugeCell): Block {
  const { gauge, x, y } = cell;
  const largest = Math.max(...gauge.rings.map(r => r.diameter_mm)) / gauge.scale_y;
  const lines = ringLines(gauge);
  const rings = gauge.rings.map(({ name, diameter_mm }): Block => {
    const alt = `${name} ring, ${diameter_mm.toFixed(2)} mm across`;
    return { tag: 'Figure', alt, marks: [ringMark(gauge, lines, { name, x, y })] };
  });
  const foot = y + largest / 2;
  return {
    tag: 'Sect',
    blocks: [
      { tag: 'P', marks: [text(x - 12.6, foot + 6.2, String(cell.number), TYPE.heading, { font: 'semibold' })] },
      ...rings,
      { tag: 'Artifact', marks: cross(x, y, gauge) },
      { tag: 'P', marks: reading(x, foot + 6.2, cell.length) },
      ticks(x, foot + CAPTION),
    ],
  };
}

function cross(x: number, y: number, gauge: GaugeResult): Mark[] {
  const arm = Math.min(0.6, Math.min(...gauge.rings.map(r => r.diameter_mm)) * 0.08); // [mm]
  return [
    { kind: 'line', x1: x - arm, y1: y, x2: x + arm, y2: y, width: 0.2 },
    { kind: 'line', x1: x, y1: y - arm, x2: x, y2: y + arm, width: 0.2 },
  ];
}

/** A line to write the diameter on; the unit is struck out or named where people may use either. */
function reading(x: number, y: number, length: LengthUnit): Mark[] {
  const end = length === 'in' ? x + 4.4 : x + 7.4;
  return [rule(x - 6, end, y + 0.6), text(end + 1, y, length === 'in' ? 'mm / in' : 'mm', TYPE.small)];
}

function ticks(x: number, y: number): Block {
  const [left, right] = [x - 12.6, x - 0.6];
  const boxes = [
    tickBox(left, y - 4.2, 'low'),
    tickBox(right, y - 4.2, 'ok'),
    tickBox(left, y, 'high'),
    tickBox(right, y, 'ok, trim'),
  ];
  return { tag: 'P', marks: boxes.flatMap(b => [b.box, b.label]) };
}
