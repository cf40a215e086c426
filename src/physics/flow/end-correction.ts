/** Which ends of a needle cost pressure beyond the flow along it. */
export type NeedleEnds = 'entrance' | 'both' | 'none';

/**
 * Extra length of a tube for one opening into a wide vessel, per radius [-]: ΔL = (3π/16)·R. Both openings: 3π/8.
 *
 * Half of Sampson's orifice resistance 3η/R³ for each side; added to the length at the wall stress of the tube, for
 * every rheology alike, it costs ΔP = 2τw·ΔL/R = (3π/8)·τw, whatever the radius.
 *
 * Valid for: creeping flow (Re far below 1), Newtonian; for other rheologies common practice, no source.
 * Source: R. A. Sampson 1891 for the orifice; Dagan, Weinbaum & Pfeffer, J. Fluid Mech. 115 (1982) 505–523 for the sum,
 * within about 1 % at any length (from memory).
 */
export const OPENING_LENGTH_PER_RADIUS = (3 * Math.PI) / 16;

/** What the ends of a needle cost beyond the flow along it. */
export interface NeedleEndLengths {
  /** Default: entrance. */ readonly ends?: NeedleEnds;
  /**
   * Radii [-] that an entrance adds to the length, default {@link OPENING_LENGTH_PER_RADIUS}; an exit keeps that. Shear-thinning
   * resins stretch on their way in and lose more there than creeping flow does: some radii, found by two lengths of one bore.
   *
   * Source: Bagley, J. Appl. Phys. 28 (1957) 624-627 (from memory).
   */
  readonly entranceLengths?: number;
}

/** Radii [-] that the openings of a plain needle add to its length. */
export function addedRadii({
  ends = 'entrance',
  entranceLengths = OPENING_LENGTH_PER_RADIUS,
}: NeedleEndLengths): number {
  if (ends === 'none') return 0;
  return ends === 'both' ? entranceLengths + OPENING_LENGTH_PER_RADIUS : entranceLengths;
}
