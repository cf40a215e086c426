import type { FitRow } from '../../analysis/fit/fit.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, type Finding, placed } from '../../diagnostics/finding.ts';
import { mergeRepeated } from '../../diagnostics/repeated.ts';
import { formatQuantity } from '../../units/format-quantity.ts';

/** Findings of a fit apart: those about rows get the place of their row, those about the whole the head of the file. */
export function placeRowFindings(
  findings: readonly Finding[],
  file: string,
): { aboutRecipe: Finding[]; placed: Diagnostic[] } {
  const aboutRecipe = findings.filter(f => f.path !== null || !f.code.startsWith('fit-'));
  const aboutData = findings.filter(f => !aboutRecipe.includes(f));
  return {
    aboutRecipe,
    placed: mergeRepeated(
      aboutData.map(f => {
        const line = Number(/\bline (\d+)\b/.exec(f.message)?.[1] ?? 1);
        return placed(f, { file, line, column: 1, end_line: line, end_column: 1 });
      }),
    ),
  };
}

/** Trials with the mass of the pan taken off; a row that does not weigh more than the pan is an error at its line. */
export function withoutTare(
  rows: readonly FitRow[],
  tare: number,
  file: string,
): { rows: FitRow[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const net = rows.map(row => {
    if (row.mass === null) return row;
    if (row.mass > tare) return { ...row, mass: row.mass - tare };
    const message = `the mass is ${formatQuantity(row.mass, 'mg')}, the pan alone ${formatQuantity(tare, 'mg')}`;
    const light = floorFinding('data-out-of-range', 'mass', message, 'check the mass and --tare');
    diagnostics.push(placed(light, { file, line: row.line, column: 1, end_line: row.line, end_column: 1 }));
    return row;
  });
  return { rows: net, diagnostics };
}

/** Warns of trials that leave age or temperature open: the recipe's are then taken. */
export function conditionWarnings(rows: readonly FitRow[], file: string): Diagnostic[] {
  return (['age', 'temperature'] as const).flatMap(name => {
    const open = rows.filter(row => row[name] === null);
    const [first] = open;
    if (first === undefined) return [];
    const taken = name === 'age' ? '`process.ready_after`' : '`process.temperature`';
    const all = open.length === rows.length;
    const article = name === 'age' ? 'an' : 'a';
    const which = all ? `no row has ${article} ${name}` : `${open.length} of ${rows.length} rows have no ${name}`;
    const f = floorFinding('fit-conditions', null, `${which}; ${taken} of the recipe is taken`);
    const line = all ? 1 : first.line;
    return [placed(f, { file, line, column: 1, end_line: line, end_column: 1 })];
  });
}
