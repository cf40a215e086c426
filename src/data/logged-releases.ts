import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, finding, placed } from '../diagnostics/finding.ts';
import { findColumn } from './columns/find-column.ts';
import { checksWithReadings, isOfRecipe, loggedReadings, type NamedRecipe } from './logged-readings.ts';
import { type CheckRow, readCheckLog } from './release-log.ts';
import type { DataReading } from './trial-data.ts';

/** One check of a log with its readings; SI. */
export interface LoggedCheckRow
  extends Pick<
    CheckRow,
    'digest' | 'syringe' | 'lot' | 'needle' | 'operator' | 'decision' | 'age' | 'temperature' | 'shot' | 'readingError'
  > {
  readonly line: number;
  /** As written, and in seconds since an epoch. */
  readonly at: string;
  readonly time: number;
  readonly kind: 'dots' | 'masses';
  readonly readings: readonly number[];
  readonly lastDigit: number;
  readonly shotsPerReading: number;
  readonly pressure: number; // [Pa]
  readonly dwell: number; // [s]
  readonly program: readonly LoggedStage[] | null;
}

export interface LoggedStage {
  readonly fromShot: number;
  readonly first: number; // [s]
  readonly add: number; // [s]
  readonly every: number;
}

export interface LoggedChecksReading extends DataReading<LoggedCheckRow> {
  /** The log says which needle was used; else each syringe is taken to have one of its own. */
  readonly saysNeedles: boolean;
}

/**
 * The checks of a recipe that a log keeps, as they were read. Those without readings or setting (of an older log) are left out with one
 * warning, and so are those of other recipes.
 */
export async function readLoggedChecks(text: string, file: string, recipe: NamedRecipe): Promise<LoggedChecksReading> {
  const log = await readCheckLog(text, file);
  const { table, rows: checks } = log;
  if (table === null || checks === null) return { ...log, rows: null, saysNeedles: false };
  const { own, diagnostics } = checksWithReadings(log, {
    of: recipe.path,
    isOwn: check => isOfRecipe(check, recipe),
  });
  const needles = findColumn(table, 'needle');
  const saysNeedles = needles !== undefined && !('code' in needles) && own.some(i => checks[i]!.needle !== '');
  const rows: LoggedCheckRow[] = [];
  for (const i of own) {
    const check = checks[i]!;
    const read = await loggedReadings(check);
    const place = table.place(i, 0);
    if ('ok' in read) {
      const { code, message, help } = read;
      diagnostics.push(placed(finding('error', code, 'readings', message, help), place));
    } else if (read.values.some(value => !(value > 0))) {
      const message = `the readings "${check.readings}" are not all above zero`;
      diagnostics.push(placed(floorFinding('data-out-of-range', 'readings', message), place));
    } else {
      const { digest, syringe, lot, operator, decision, age, temperature, shot, readingError, time: at } = check;
      rows.push({
        ...{ digest, syringe, lot, operator, decision, age, temperature, shot, readingError, at, line: place.line },
        needle: saysNeedles ? check.needle : syringe,
        time: Date.parse(at) / 1000,
        kind: check.kind === 'dots' ? 'dots' : 'masses',
        ...{ readings: read.values, lastDigit: read.lastDigit, shotsPerReading: read.shotsEach },
        ...{ pressure: check.pressure!, dwell: check.dwell!, program: stagesOf(check.program) },
      });
    }
  }
  diagnostics.sort(byPosition);
  const usable = !diagnostics.some(d => d.severity === 'error');
  return { ...log, rows: usable ? rows : null, diagnostics, saysNeedles };
}

const STAGE = /^(\d+(?:\.\d+)?(?:e-?\d+)?) s from (\d+)(?:, add (\d+(?:\.\d+)?(?:e-?\d+)?) s every (\d+))?$/;

/** "0.52 s from 1, add 0.03 s every 7; 0.8 s from 40" as stages; null for another text. */
function stagesOf(text: string): LoggedStage[] | null {
  if (text === '') return null;
  const stages = text.split('; ').map(part => STAGE.exec(part));
  if (stages.includes(null)) return null;
  return stages.map(stage => {
    const [, first, from, add = '0', every = '1'] = stage!;
    return { fromShot: Number(from), first: Number(first), add: Number(add), every: Math.max(1, Number(every)) };
  });
}
