import { byPosition, finding, placed } from '../diagnostics/finding.ts';
import type { Problem } from '../units/problem.ts';
import { readCsv } from './csv/csv.ts';
import { checksWithReadings, loggedReadings } from './logged-readings.ts';
import { type CheckRow, readCheckLog } from './release-log.ts';
import type { DataReading, TrialRow } from './trial-data.ts';

/** Whether a text is a check log that keeps what was read, and no sheet of trials. */
export function isCheckLog(text: string, file: string): boolean {
  const names = new Set(readCsv(text, file).table?.columns.map(({ name }) => name) ?? []);
  return (
    ['readings', 'kind', 'decision'].every(name => names.has(name)) && !names.has('mass') && !names.has('diameter')
  );
}

/**
 * The readings of a check log as trials, one each, at the setting and the age of their check. Checks without setting or
 * readings (of an older log) are left out with one warning, and so are those of other recipes than the one named, where
 * the log has several.
 */
export async function readLoggedTrials(text: string, file: string, recipe: string): Promise<DataReading<TrialRow>> {
  const log = await readCheckLog(text, file);
  const { table, rows: checks } = log;
  if (table === null || checks === null) return { ...log, rows: null };
  const several = new Set(checks.map(check => check.recipe)).size > 1;
  const { own, diagnostics } = checksWithReadings(log, {
    of: recipe,
    isOwn: check => !several || check.recipe === recipe,
  });
  const rows: TrialRow[] = [];
  for (const i of own) {
    const made = await trialsOf(checks[i]!, table.place(i, 0).line);
    if ('ok' in made) {
      const { code, message, help } = made;
      diagnostics.push(placed(finding('error', code, 'readings', message, help), table.place(i, 0)));
    } else rows.push(...made);
  }
  diagnostics.sort(byPosition);
  const usable = rows.length > 0 && !diagnostics.some(d => d.severity === 'error');
  return { ...log, rows: usable ? rows : null, diagnostics };
}

/** The readings of one check, or what is wrong with them. */
async function trialsOf(check: CheckRow, line: number): Promise<TrialRow[] | Problem> {
  const { age, temperature, kind } = check;
  const read = await loggedReadings(check);
  if ('ok' in read) return read;
  const setting = { pressure: check.pressure!, dwell: check.dwell! };
  return read.values.map(value => {
    const [mass, diameter] = kind === 'dots' ? [null, value] : [value, null];
    return { ...setting, age, temperature, shots: read.shotsEach, mass, diameter, line };
  });
}
