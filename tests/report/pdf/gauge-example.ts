import type { GaugeResult } from '../../../src/analysis/dot/gauge.ts';
import type { GaugeSheetInput } from '../../../src/report/pdf/gauge-sheet.ts';

/** A gauge made up for layout tests; its numbers need not belong to a real drop. */
export function exampleGauge(overrides: Partial<GaugeResult> = {}, diameters = [6.1, 6.45, 6.8]): GaugeResult {
  const names = ['min', 'aim', 'max'] as const;
  return {
    paper: 'a4',
    file: null,
    circles: 20,
    shots_per_circle: 2,
    rings: names.map((name, i) => ({
      name,
      volume_uL: 8.12 + i,
      mass_mg: 9.34 + i * 1.15,
      diameter_mm: diameters[i]!,
    })),
    ok_mm: [diameters[1]! * 0.965, diameters[1]! * 1.032],
    reading_error_mm: 0.1,
    reading_error_pct: 4.83,
    shot: { volume_uL: 4.56, mass_mg: 5.24, diameter_mm: 4.93, reading_error_pct: 6.2 },
    contact_angle_deg: 32,
    contact_angle_uncertainty_deg: null,
    calibration_dots: 0,
    surface: 'glass slide over the sheet',
    read_after_s: 20,
    spreading: null,
    scale_x: 1,
    scale_y: 1,
    tolerance_pct: 10,
    model: 'sessile drop under gravity (Young–Laplace)',
    defaults: [],
    ...overrides,
  };
}

export function exampleInput(gauge: GaugeResult, name = 'Tide-gauge pigtail'): GaugeSheetInput {
  return {
    gauge,
    name,
    digest: '3fa94c1e'.repeat(8),
    format: 1,
    creator: 'dwellbook 0.1.0',
    created: new Date('2026-11-25T00:00:00Z'),
  };
}

export const LONG_NAME =
  'Tide-gauge pigtail of the northern hydrophone string & its <spare>, second build, with the long boot and the short ferrule, as assembled at the small workshop by the harbour';
