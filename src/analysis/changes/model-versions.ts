/**
 * Version of every model that results rest on. A version goes up by one with every change of the model that moves a
 * computed number by more than rounding, together with the line in DEVELOPERS.md; `check --frozen` then says which model
 * moved a result, and that no input did.
 */
export const MODEL_VERSIONS = {
  /** How pressure builds up and falls in syringe and hose. */
  air: 1,
  /** Volumes, seat, bead and window of the connector. */
  cavity: 1,
  /** Viscosity over age and temperature. */
  cure: 1,
  /** Shape of a drop on a surface. */
  drop: 2,
  /** Flow through needle and bore. */
  flow: 1,
  /** Drag on the fibre as it goes in, and what buckles it. */
  insert: 1,
  /** What is weighed for a kit, and its heat. */
  mix: 1,
  /** The cure in the oven. */
  oven: 1,
  /** The step program and its end. */
  ramp: 1,
  /** The choice of pressure and dwell. */
  setpoint: 2,
} as const;

export type ModelName = keyof typeof MODEL_VERSIONS;
