import { matrix, qrFactors, solveWithQr } from '../linear-algebra.ts';
import type { Point } from './homography.ts';

export interface Circle extends Point {
  readonly radius: number;
  /** Root mean square of the distances from the circle. */
  readonly scatter: number;
}

/**
 * The circle with the least sum of squared distances of points from it: the circle of least algebraic distance, improved by Gauss-Newton
 * steps on the distances.
 *
 * Shape: three points at least, not on a line; null where they fix no circle.
 * Source: Gander, Golub, Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) 558; their example is in the test.
 */
export function fittedCircle(points: readonly Point[]): Circle | null {
  if (points.length < 3) return null;
  let circle = algebraicCircle(points);
  for (let round = 0; circle !== null && round < MOST_ROUNDS; round++) {
    const rows: number[] = [];
    const right: number[] = [];
    for (const p of points) {
      const [dx, dy] = [p.x - circle.x, p.y - circle.y];
      const distance = Math.hypot(dx, dy);
      if (distance === 0) continue;
      rows.push(dx / distance, dy / distance, 1);
      right.push(distance - circle.radius);
    }
    const step = solved(rows, right);
    if (step === null) return null;
    circle = { x: circle.x + step[0]!, y: circle.y + step[1]!, radius: circle.radius + step[2]! };
    if (Math.hypot(...step) < 1e-10 * Math.abs(circle.radius)) break;
  }
  if (circle === null || !(circle.radius > 0)) return null;
  const { x, y, radius } = circle;
  const sum = points.reduce((total, p) => total + (Math.hypot(p.x - x, p.y - y) - radius) ** 2, 0);
  return { ...circle, scatter: Math.sqrt(sum / points.length) };
}

const MOST_ROUNDS = 50;

/** x² + y² = 2ax + 2by + c, solved for a, b and c, from the middle of the points. */
function algebraicCircle(points: readonly Point[]): { x: number; y: number; radius: number } | null {
  const n = points.length;
  const mx = points.reduce((sum, p) => sum + p.x, 0) / n;
  const my = points.reduce((sum, p) => sum + p.y, 0) / n;
  const rows = points.flatMap(p => [2 * (p.x - mx), 2 * (p.y - my), 1]);
  const solution = solved(
    rows,
    points.map(p => (p.x - mx) ** 2 + (p.y - my) ** 2),
  );
  if (solution === null) return null;
  const [a, b, c] = [...solution] as [number, number, number];
  const square = c + a * a + b * b;
  return square > 0 ? { x: mx + a, y: my + b, radius: Math.sqrt(square) } : null;
}

function solved(rows: readonly number[], right: readonly number[]): Float64Array | null {
  if (right.length < 3 || !rows.every(Number.isFinite) || !right.every(Number.isFinite)) return null;
  const factors = qrFactors(matrix({ rows: right.length, columns: 3 }, rows));
  return factors.rank < 3 ? null : solveWithQr(factors, right);
}
