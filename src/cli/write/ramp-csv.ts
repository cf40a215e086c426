import type { RampResult, RampShotKeys } from '../../analysis/ramp/ramp.ts';
import { headerText } from '../../data/csv/heads.ts';
import { writeCsv } from '../../data/csv/write-csv.ts';

const COLUMNS: readonly (readonly [keyof RampShotKeys, string, string | null])[] = [
  ['shot', 'shot', null],
  ['age_min', 'age', 'min'],
  ['viscosity_factor', 'viscosity_factor', null],
  ['dispensed_mL', 'dispensed', 'mL'],
  ['pressure_kPa', 'pressure', 'kPa'],
  ['dwell_s', 'dwell', 's'],
  ['program_pressure_kPa', 'program_pressure', 'kPa'],
  ['program_dwell_s', 'program_dwell', 's'],
  ['error_pct', 'error', '%'],
];

/** Every shot of a ramp, one a row, units in the heads. */
export function rampCsv(ramp: RampResult): string {
  return writeCsv(
    COLUMNS.map(([, name, unit]) => headerText(name, unit)),
    ramp.shots.map(shot => COLUMNS.map(([key]) => shot[key])),
  );
}
