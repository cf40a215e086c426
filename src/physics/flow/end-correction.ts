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
