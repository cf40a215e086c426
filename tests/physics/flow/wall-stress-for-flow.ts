import { wallCurve } from '../../../src/physics/flow/wall-curve.ts';
import type { Rheology } from '../../../src/physics/rheology/rheology.ts';

interface WallStressInput {
  readonly rheology: Rheology;
  /** Inner radius R [m]. */ readonly radius: number;
  /** Volume flow Q [m³/s]. */ readonly flow: number;
}

/** Wall shear stress [Pa] at which a tube carries a flow; at zero flow the yield stress, which a resting resin may carry. */
export function wallStressForFlow({ rheology, radius, flow }: WallStressInput): number {
  const curve = wallCurve(rheology);
  return flow === 0 ? curve.yieldStress : curve.atReducedFlow(flow / (Math.PI * radius ** 3)).stress;
}
