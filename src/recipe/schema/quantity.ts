export type Distribution = 'normal' | 'uniform' | 'triangular';
/** What a deviation is common to: one shot, or all shots of a syringe, needle, lot or connector. */
export type Per = 'shot' | 'syringe' | 'needle' | 'lot' | 'connector';

export interface Tolerance {
  /** Half-width in the unit of the value [SI]. */
  readonly halfWidth: number;
  readonly distribution: Distribution;
  /** For `normal`: how many standard deviations the half-width is. Not used by the others. */
  readonly coverage: number;
  readonly per: Per;
}

export interface Quantity {
  /** [SI]; temperatures in kelvin, angles in radians, percentages and factors as plain ratios. */
  readonly value: number;
  readonly tolerance?: Tolerance;
  /** Dotted path of this leaf, e.g. `connector.cavity[1].diameter[0]`. */
  readonly path: string;
  /**
   * Where the text came from: a path in the recipe's own file, `file#path in it`, `--set:…` or `default`; in a
   * file with anchors an offset in place of the path. Two leaves with the same source (a YAML alias, or one
   * part used twice) are one dimension and move together.
   */
  readonly source: string;
}

/** A half-width on something else (`accuracy`, `jitter`): its value is the half-width [SI], the rest says how it is meant. */
export interface Deviation extends Quantity {
  /** The value is a share of what is set [-]. */
  readonly relative?: true;
  readonly distribution: Distribution;
  readonly coverage: number;
  readonly per: Per;
}
