import type { Paper } from './gauge-grid.ts';

export interface GaugeRing {
  readonly name: 'min' | 'aim' | 'max';
  /** Of all shots on the circle together. */
  readonly volume_uL: number;
  readonly mass_mg: number;
  /** As seen from above. */
  readonly diameter_mm: number;
}

export interface GaugeResult {
  readonly paper: Paper;
  /** Where the sheet was written; null until the command has written it. */
  readonly file: string | null;
  readonly circles: number;
  readonly shots_per_circle: number;
  readonly rings: readonly GaugeRing[];
  readonly reading_error_mm: number;
  /** What a misreading of that much is in volume, at the aim ring. */
  readonly reading_error_pct: number;
  /** One shot alone, at the aim. */
  readonly shot: {
    readonly volume_uL: number;
    readonly mass_mg: number;
    readonly diameter_mm: number;
    readonly reading_error_pct: number;
  };
  readonly contact_angle_deg: number;
  /** Standard uncertainty of a fitted angle. */
  readonly contact_angle_uncertainty_deg: number | null;
  /** How many weighed dots the angle comes from; 0 when it is given. */
  readonly calibration_dots: number;
  readonly surface: string | null;
  readonly read_after_s: number | null;
  readonly scale_x: number;
  readonly scale_y: number;
}
