import type { Block, LineMark, Mark, PathCommand } from '../page/marks.ts';
import { TYPE, text } from '../page/sheet-parts.ts';

/** Lengths of the two scales of a check bar [mm]: 100 mm, and 4 in exactly. */
const BAR_MM = 100;
const BAR_INCHES = 4;
const MM_PER_INCH = 25.4;

const LINE = 0.22; // width of base lines and marks [mm]
const FINE = 0.18;
const BETWEEN = 1.4; // from the millimetre base line to the inch base line [mm]

export interface CheckBar {
  /** Left end (across) or upper end (down) of the millimetre base line: the middle of mark 0 [mm]. */
  readonly x: number;
  readonly y: number;
  /** What the printer makes of one millimetre along this bar; the drawing is divided by it. */
  readonly scale: number;
}

/**
 * Two scales back to back, 100 mm above and 4 in below, each on a base line of its own exact length; the middle of a mark
 * is its place, so that any edge may be measured against the same edge of another mark.
 */
export function barAcross(bar: CheckBar): Block {
  return figure('Check bar across the page', bar, (along, across) => ({ x: bar.x + along, y: bar.y + across }), {
    mm: (x, y, words) => text(x, y, words, TYPE.small, { align: 'center' }),
    inch: (x, y, words) => text(x, y, words, TYPE.small, { align: 'center' }),
    mmShift: -1.2,
    inchShift: 3,
    drop: 0,
  });
}

/** The same bar down the page: millimetres at its left, inches at its right. */
export function barDown(bar: CheckBar): Block {
  return figure('Check bar down the page', bar, (along, across) => ({ x: bar.x + across, y: bar.y + along }), {
    mm: (x, y, words) => text(x, y, words, TYPE.small, { align: 'right' }),
    inch: (x, y, words) => text(x, y, words, TYPE.small),
    mmShift: -1,
    inchShift: 1,
    drop: 0.8,
  });
}

interface Labels {
  readonly mm: (x: number, y: number, words: string) => Mark;
  readonly inch: (x: number, y: number, words: string) => Mark;
  /** Distance of the labels from the ends of the marks [mm], and of their baseline below the mark's middle. */
  readonly mmShift: number;
  readonly inchShift: number;
  readonly drop: number;
}

type Put = (along: number, across: number) => { x: number; y: number };

function figure(name: string, bar: CheckBar, put: Put, labels: Labels): Block {
  const line = (from: [number, number], to: [number, number], width: number): LineMark => {
    const a = put(...from);
    const b = put(...to);
    return { kind: 'line', x1: a.x, y1: a.y, x2: b.x, y2: b.y, width };
  };
  const mm = (v: number) => v / bar.scale;
  const inch = (v: number) => (v * MM_PER_INCH) / bar.scale;
  const marks: Mark[] = [
    line([mm(0), 0], [mm(BAR_MM), 0], LINE),
    line([inch(0), BETWEEN], [inch(BAR_INCHES), BETWEEN], LINE),
  ];
  const fine: PathCommand[] = [];
  const tick = (at: number, from: number, to: number) => {
    const a = put(at, from);
    const b = put(at, to);
    fine.push(['M', a.x, a.y], ['L', b.x, b.y]);
  };
  for (let v = 0; v <= BAR_MM; v++) {
    if (v % 10 === 0) {
      marks.push(line([mm(v), 0], [mm(v), -LONG], LINE));
      const at = put(mm(v), -LONG + labels.mmShift);
      marks.push(labels.mm(at.x, at.y + labels.drop, v === BAR_MM ? `${v} mm` : `${v}`));
    } else tick(mm(v), 0, v % 5 === 0 ? -MIDDLE : -SHORT);
  }
  for (let v = 0; v <= BAR_INCHES * 8; v++) {
    if (v % 8 === 0) {
      marks.push(line([inch(v / 8), BETWEEN], [inch(v / 8), BETWEEN + LONG], LINE));
      const at = put(inch(v / 8), BETWEEN + LONG + labels.inchShift);
      marks.push(labels.inch(at.x, at.y + labels.drop, v === BAR_INCHES * 8 ? `${v / 8} in` : `${v / 8}`));
    } else tick(inch(v / 8), BETWEEN, BETWEEN + (v % 4 === 0 ? MIDDLE : SHORT));
  }
  marks.push({ kind: 'path', commands: fine, width: FINE });
  return { tag: 'Figure', alt: `${name}: marks from 0 to 100 mm and from 0 to 4 in.`, marks };
}

// lengths of the marks [mm]
const LONG = 3;
const MIDDLE = 2;
const SHORT = 1.2;
