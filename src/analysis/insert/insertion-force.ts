import { findRoot } from '../../numeric/root.ts';
import { dragLength, type WettedStretch } from '../../physics/cavity/insertion.ts';
import { type Rheology, viscosityAt } from '../../physics/rheology/rheology.ts';

/** A fibre on its way through the wetted bore and lead-in. */
export interface FibrePath {
  readonly fibre: number; // diameter [m]
  readonly bore: number; // diameter [m]
  readonly stretches: readonly WettedStretch[];
}

/** The fibre lies off the axis by this share of the gap where it is not centred. */
export const OFF_AXIS = 0.9;

/** Fastest and slowest push that is looked at [m/s]. */
const SPEEDS = { least: 1e-12, most: 1e3 };

/** Viscosity [Pa.s] in the gap of the bore at a speed [m/s]: at the shear v/gap. */
export function gapViscosity({ fibre, bore }: FibrePath, resin: Rheology, speed: number): number {
  return viscosityAt(resin, (2 * speed) / (bore - fibre));
}

/** Drag at full insertion [N] at a speed [m/s]. */
export function dragForce(path: FibrePath, resin: Rheology, p: { speed: number; eccentricity: number }): number {
  return gapViscosity(path, resin, p.speed) * p.speed * dragLength({ ...path, eccentricity: p.eccentricity });
}

/** Speed [m/s] at which the drag reaches a load [N]; 0 where it does so at any speed, as a yield stress can. */
export function greatestSpeed(path: FibrePath, resin: Rheology, p: { load: number; eccentricity: number }): number {
  const over = (logSpeed: number) =>
    Math.log(dragForce(path, resin, { speed: Math.exp(logSpeed), eccentricity: p.eccentricity }) / p.load);
  const [least, most] = [Math.log(SPEEDS.least), Math.log(SPEEDS.most)];
  if (over(least) >= 0) return 0;
  if (over(most) <= 0) return SPEEDS.most;
  return Math.exp(findRoot(over, least, most));
}
