import type { PathCommand } from './marks.ts';

/** Curves in one circle. With four, the drawn radius is off by up to 2.7e-4; with eight, by 4.2e-6. */
const SEGMENTS = 8;

/**
 * A closed path of eight Bézier curves around an upright ellipse [mm], from its rightmost point.
 *
 *   handle = 4/3 · tan(π / (2·8)) · radius
 *
 * The largest deviation is 4.2e-6 of the radius: 1 µm on a circle half a metre across.
 * Source: the usual handle length for an arc of 2π/n, 4/3·tan(π/2n), from memory; the test measures the curve.
 */
export function circleCommands(c: { x: number; y: number; radiusX: number; radiusY: number }): PathCommand[] {
  const step = (2 * Math.PI) / SEGMENTS;
  const handle = (4 / 3) * Math.tan(step / 4);
  const at = (i: number) => {
    const cos = i % 2 === 0 ? AXIS[(i / 2) % 4]! : Math.cos(i * step);
    const sin = i % 2 === 0 ? AXIS[(i / 2 + 3) % 4]! : Math.sin(i * step);
    return { cos, sin };
  };
  const point = (cos: number, sin: number): [number, number] => [c.x + c.radiusX * cos, c.y + c.radiusY * sin];
  const commands: PathCommand[] = [['M', ...point(1, 0)]];
  for (let i = 0; i < SEGMENTS; i++) {
    const a = at(i);
    const b = at(i + 1);
    commands.push([
      'C',
      ...point(a.cos - handle * a.sin, a.sin + handle * a.cos),
      ...point(b.cos + handle * b.sin, b.sin - handle * b.cos),
      ...point(b.cos, b.sin),
    ]);
  }
  commands.push(['Z']);
  return commands;
}

/** Exact cosine of the quarter turns, so that the box around the circle is exact. */
const AXIS = [1, 0, -1, 0] as const;
