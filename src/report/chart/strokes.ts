import type { Dash, Mark } from '../page/marks.ts';
import type { DashName, MarkerName } from './chart-spec.ts';

/** Dash lengths [mm]; null for a solid line. */
const DASHES: Readonly<Record<Exclude<DashName, 'none'>, Dash | null>> = {
  solid: null,
  dashed: [2.2, 1.1],
  dotted: [0.45, 0.75],
  'dash-dot': [2.6, 0.8, 0.5, 0.8],
};

/** Line widths [mm]. */
export const WEIGHT = { data: 0.35, rule: 0.22, axis: 0.25, fine: 0.18 } as const;

const STYLES: readonly { dash: DashName; marker: MarkerName }[] = [
  { dash: 'solid', marker: 'dot' },
  { dash: 'dashed', marker: 'ring' },
  { dash: 'dotted', marker: 'square' },
  { dash: 'dash-dot', marker: 'triangle' },
  { dash: 'solid', marker: 'diamond' },
  { dash: 'dashed', marker: 'cross' },
  { dash: 'dotted', marker: 'plus' },
];

/** How the n-th series looks when it does not say. */
export function seriesStyle(index: number): { dash: DashName; marker: MarkerName } {
  return STYLES[index % STYLES.length]!;
}

export function dashOf(name: DashName): { dash?: Dash } {
  const dash = name === 'none' ? null : DASHES[name];
  return dash === null ? {} : { dash };
}

const RADIUS = 0.95; // [mm]

/** One marker about a point [mm]; outlines are filled white, so that a line behind does not confuse them. */
export function markerAt(name: MarkerName, x: number, y: number, radius = RADIUS): Mark[] {
  const width = 0.28;
  const r = radius;
  const polygon = (...corners: [number, number][]): Mark => ({
    kind: 'path',
    commands: [
      ...corners.map(([dx, dy], i) => [i === 0 ? 'M' : 'L', x + dx, y + dy] as ['M' | 'L', number, number]),
      ['Z'] as ['Z'],
    ] as never,
    width,
    fill: 'white',
  });
  const stroke = (dx: number, dy: number): Mark => ({
    kind: 'line',
    x1: x - dx,
    y1: y - dy,
    x2: x + dx,
    y2: y + dy,
    width: 0.32,
  });
  switch (name) {
    case 'dot':
      return [{ kind: 'circle', x, y, radiusX: r * 0.8, radiusY: r * 0.8, width: 0, fill: 'black' }];
    case 'ring':
      return [{ kind: 'circle', x, y, radiusX: r, radiusY: r, width, fill: 'white' }];
    case 'square':
      return [
        { kind: 'box', x: x - r * 0.9, y: y - r * 0.9, boxWidth: r * 1.8, boxHeight: r * 1.8, width, fill: 'white' },
      ];
    case 'triangle':
      return [polygon([0, -r * 1.15], [r * 1.1, r * 0.85], [-r * 1.1, r * 0.85])];
    case 'diamond':
      return [polygon([0, -r * 1.25], [r * 1.25, 0], [0, r * 1.25], [-r * 1.25, 0])];
    case 'cross':
      return [stroke(r * 0.9, r * 0.9), stroke(r * 0.9, -r * 0.9)];
    case 'plus':
      return [stroke(r * 1.1, 0), stroke(0, r * 1.1)];
    case 'none':
      return [];
  }
}

interface Rectangle {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

type Strokes = readonly (['M', number, number] | ['L', number, number])[];

/** Slanted thin lines across a rectangle [mm], as one path: a shade that a photocopier keeps. */
export function hatch(box: Rectangle, spacing = 1.9): Mark[] {
  return pathOf(slanted(box, spacing));
}

/** The same with lines of both slants. */
export function crossHatch(box: Rectangle, spacing: number): Mark[] {
  const rising = slanted(box, spacing);
  const falling = rising.map(([to, x, y]) => [to, 2 * box.x + box.width - x, y] as Strokes[number]);
  return pathOf([...rising, ...falling]);
}

function slanted(box: Rectangle, spacing: number): Strokes {
  const commands: Strokes[number][] = [];
  // lines u + v = c in coordinates from the lower left corner, at 45 degrees
  for (let c = spacing; c < box.width + box.height; c += spacing) {
    const u1 = Math.max(0, c - box.height);
    const u2 = Math.min(box.width, c);
    if (u2 - u1 < 0.05) continue;
    const bottom = box.y + box.height;
    commands.push(['M', box.x + u1, bottom - (c - u1)], ['L', box.x + u2, bottom - (c - u2)]);
  }
  return commands;
}

function pathOf(commands: Strokes): Mark[] {
  return commands.length === 0 ? [] : [{ kind: 'path', commands, width: 0.16 }];
}
