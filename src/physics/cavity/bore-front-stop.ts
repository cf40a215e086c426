import { findRoot } from '../../numeric/root.ts';
import type { ConeGeometry } from '../flow/cone-flow.ts';
import { flowPath, type Passage, type PathPiece } from '../flow/flow-path.ts';
import type { WallCurve } from '../flow/wall-curve.ts';
import { capillaryDiameter } from './bore-march.ts';

/**
 * Distance from the end face [m] at which the front in a bore stops, or null where it reaches the end face.
 *
 *   it stops where P + 4γ·cos θ/d(x) no longer exceeds what the resting resin carries, Σ 4τ₀·L/d of needle and filled
 *   cavity: for want of yield pressure, or where a resin that does not wet is held back
 *
 * In a cylinder the margin falls all the way. In a cone it can have one lowest place inside, at d = −γ·cos θ·(dd/dx)/τ₀.
 * Evidence: hand values in cylinders; fine scan of the margin in cones.
 */
export function boreFrontStop(p: {
  needle: readonly PathPiece[];
  curve: WallCurve;
  cavity: readonly Passage[];
  netPressure: number;
  capillary: (diameter: number) => number;
}): number | null {
  let filled = p.needle;
  let left = p.cavity.reduce((sum, { length }) => sum + length, 0);
  if (left === 0) return p.netPressure > flowPath(filled, p.curve).yieldPressure ? null : 0;
  for (const passage of [...p.cavity].reverse()) {
    const { front, rear, length, sides } = passage;
    const slope = (front - rear) / length;
    const behind = filled;
    const margin = (x: number): number => {
      const diameter = rear + slope * x;
      const partial: PathPiece[] = x > 0 ? [{ ...passage, kind: 'section', front: diameter, length: x }] : [];
      const carried = flowPath([...behind, ...partial], p.curve).yieldPressure;
      const meniscus = sides === undefined ? diameter : capillaryDiameter(passage);
      return p.netPressure + p.capillary(meniscus) - carried;
    };
    const places = [0, ...lowestInside({ front, rear, length, slope }, p), length];
    for (const [i, place] of places.entries()) {
      if (margin(place) > 0) continue;
      if (i === 0) return left;
      return left - findRoot(margin, places[i - 1]!, place);
    }
    filled = [...behind, { ...passage, kind: 'section' }];
    left -= length;
  }
  return null;
}

function lowestInside(
  cone: ConeGeometry & { slope: number },
  { curve, capillary }: { curve: WallCurve; capillary: (diameter: number) => number },
): number[] {
  if (cone.slope === 0 || curve.yieldStress === 0) return [];
  const pull = capillary(1) / 4; // γ·cos θ
  const x = ((-pull * cone.slope) / curve.yieldStress - cone.rear) / cone.slope;
  return x > 0 && x < cone.length ? [x] : [];
}
