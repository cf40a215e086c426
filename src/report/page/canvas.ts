/** A picture in colours that lines are drawn into: red, green and blue of each pixel, rows from above. */
export interface Canvas {
  readonly width: number;
  readonly height: number;
  readonly colours: Uint8Array;
}

export type Colour = readonly [number, number, number];

/** Shades of grey as a canvas, a little paler, so that lines stand out. */
export function canvasOf(p: { width: number; height: number; gray: Uint8Array }): Canvas {
  const colours = new Uint8Array(3 * p.gray.length);
  for (const [i, v] of p.gray.entries()) colours.fill(PALEST + ((255 - PALEST) * v) / 255, 3 * i, 3 * i + 3);
  return { width: p.width, height: p.height, colours };
}

const PALEST = 40;

/** A closed line through points [px], a pixel wide. */
export function drawClosed(canvas: Canvas, points: readonly { x: number; y: number }[], colour: Colour): void {
  for (const [i, a] of points.entries()) {
    const b = points[(i + 1) % points.length]!;
    const steps = Math.max(1, Math.ceil(Math.max(Math.abs(b.x - a.x), Math.abs(b.y - a.y))));
    // A line that leaves the picture by far is not followed there.
    if (!(steps < 4 * (canvas.width + canvas.height))) continue;
    for (let k = 0; k < steps; k++)
      set(canvas, a.x + ((b.x - a.x) * k) / steps, a.y + ((b.y - a.y) * k) / steps, colour);
  }
}

function set({ width, height, colours }: Canvas, x: number, y: number, colour: Colour): void {
  const [column, row] = [Math.floor(x), Math.floor(y)];
  if (column < 0 || row < 0 || column >= width || row >= height) return;
  colours.set(colour, 3 * (row * width + column));
}
