import type { TrialsResult } from '../../analysis/trials/trials.ts';
import { writeCsv } from '../../data/csv/write-csv.ts';

/** Head of a run sheet: what `fit` reads, and columns that are only carried along. */
const HEADER = (reading: string) => [
  'run',
  'block',
  'pressure [kPa]',
  'dwell [s]',
  'age [min]',
  'temperature [degC]',
  'shots',
  reading,
  'note',
];

/** The runs as CSV; temperature, mass or diameter, and note are blank to be filled in, the planned age to be corrected. */
export function trialsCsv({ runs, by }: Pick<TrialsResult, 'runs' | 'by'>): string {
  const rows = runs.map(r => [r.run, r.block, r.pressure_kPa, r.dwell_s, tenths(r.age_min), null, r.shots, null, null]);
  return writeCsv(HEADER(by === 'mass' ? 'mass [mg]' : 'diameter [mm]'), rows);
}

function tenths(minutes: number): number {
  return Number(minutes.toFixed(1));
}
