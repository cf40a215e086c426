import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, finding, placed } from '../diagnostics/finding.ts';
import { counted } from '../diagnostics/number-words.ts';
import { parseQuantityLoading } from '../units/parse-quantity-loading.ts';
import type { Problem } from '../units/problem.ts';
import { quantityParts } from '../units/quantity-parts.ts';
import { type CheckRow, readCheckLog } from './check-log.ts';
import { leftOutFinding } from './columns/left-out.ts';
import { readCsv } from './csv/csv.ts';
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
  const places = checks.map((_, i) => i);
  const others = several ? places.filter(i => checks[i]!.recipe !== recipe) : [];
  const own = places.filter(i => !others.includes(i));
  const bare = own.filter(i => checks[i]!.readings === '' || checks[i]!.pressure === null || checks[i]!.dwell === null);
  const diagnostics: Diagnostic[] = [...log.diagnostics];
  diagnostics.push(...leftOutFinding(table, bare, { what: 'readings with pressure and dwell', of: own.length }));
  if (others.length > 0) {
    const message = `${counted(others.length, 'check')} of other recipes than ${recipe} left out`;
    diagnostics.push(placed(floorFinding('data-row-skipped', 'recipe', message), table.place(others[0]!, 0)));
  }
  const rows: TrialRow[] = [];
  for (const i of own.filter(place => !bare.includes(place))) {
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
  const { age, temperature, kind, shots } = check;
  const parts = quantityParts(check.readings);
  const read = await Promise.all(
    parts.map(({ text }) => parseQuantityLoading(text, kind === 'dots' ? 'length' : 'mass')),
  );
  const each = Math.max(1, Math.round((shots ?? parts.length) / parts.length));
  const rows: TrialRow[] = [];
  for (const found of read) {
    if (!found.ok) return found;
    const [mass, diameter] = kind === 'dots' ? [null, found.value] : [found.value, null];
    const setting = { pressure: check.pressure!, dwell: check.dwell! };
    rows.push({ ...setting, age, temperature, shots: each, mass, diameter, line });
  }
  return rows;
}
