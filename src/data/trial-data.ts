import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, placed } from '../diagnostics/finding.ts';
import { type ColumnSpec, readColumns } from './columns/columns.ts';
import { type DataTaken, dataTaken } from './columns/data-taken.ts';
import { findColumn } from './columns/find-column.ts';
import { leftOutFinding } from './columns/left-out.ts';
import { type DataTable, type GivenColumn, readCsv } from './csv/csv.ts';

/** What a typed reader gives: null rows where the file cannot be used; the table is there for columns that are only carried along. */
export interface DataReading<T> {
  readonly rows: readonly T[] | null;
  readonly table: DataTable | null;
  /** What was taken of the file; null where it is no table. */
  readonly taken: DataTaken | null;
  readonly diagnostics: readonly Diagnostic[];
}

/** One trial: a number of shots at one setting, weighed together or put on one dot. */
export interface TrialRow {
  readonly pressure: number; // [Pa] gauge
  readonly dwell: number; // [s]
  readonly age: number | null; // [s]
  readonly temperature: number | null; // [K]
  readonly shots: number;
  readonly mass: number | null; // [kg] of all shots together
  readonly diameter: number | null; // [m] of the dot of all shots together
  /** Line of the row in its file. */
  readonly line: number;
}

/** One point of a flow curve. */
export interface FlowCurveRow {
  readonly shearRate: number; // [1/s]
  readonly viscosity: number; // [Pa·s]
  readonly temperature: number | null; // [K]
  readonly line: number;
}

/** One point of a cure curve: the viscosity, or its ratio to the one at age zero. */
export interface CureCurveRow {
  readonly age: number; // [s]
  readonly viscosity: number | null; // [Pa·s]
  readonly factor: number | null; // [-]
  readonly temperature: number | null; // [K]
  readonly line: number;
}

const needed = (kind: ColumnSpec['kind'], least: ColumnSpec['least']): ColumnSpec => ({ kind, least, required: true });
const optional = (kind: ColumnSpec['kind'], least: ColumnSpec['least'], whole = false): ColumnSpec => ({
  kind,
  least,
  whole,
  required: false,
});

const TRIAL = {
  pressure: needed('pressure', 'above zero'),
  dwell: needed('time', 'above zero'),
  age: optional('time', 'zero or above'),
  temperature: optional('temperature', 'any'),
  shots: optional('factor', 'above zero', true),
  mass: optional('mass', 'above zero'),
  diameter: optional('length', 'above zero'),
};

/**
 * Trial data: `pressure`, `dwell`, `age`, `temperature`, `shots` (1 where empty), and `mass` or `diameter`; rows with neither are left out.
 */
export async function readTrialData(
  text: string,
  file: string,
  given: readonly GivenColumn[] = [],
): Promise<DataReading<TrialRow>> {
  return readRows({ text, file, given }, TRIAL, ['mass', 'diameter'], (v, line, complain) => {
    if (v.mass !== null && v.diameter !== null)
      return complain('the row has both a mass and a diameter; one of them is fitted');
    return { ...v, pressure: v.pressure!, dwell: v.dwell!, shots: v.shots ?? 1, line };
  });
}

const FLOW_CURVE = {
  shear_rate: needed('rate', 'above zero'),
  viscosity: optional('viscosity', 'above zero'),
  shear_stress: optional('stress', 'above zero'),
  temperature: optional('temperature', 'any'),
};

/** A rheometer's flow curve: `shear_rate`, `viscosity` or `shear_stress`, `temperature`; rows with neither are left out. */
export async function readFlowCurve(
  text: string,
  file: string,
  given: readonly GivenColumn[] = [],
): Promise<DataReading<FlowCurveRow>> {
  return readRows({ text, file, given }, FLOW_CURVE, ['viscosity', 'shear_stress'], (v, line) => {
    const viscosity = v.viscosity ?? v.shear_stress! / v.shear_rate!;
    return { shearRate: v.shear_rate!, viscosity, temperature: v.temperature, line };
  });
}

const CURE_CURVE = {
  age: needed('time', 'zero or above'),
  viscosity: optional('viscosity', 'above zero'),
  factor: optional('factor', 'above zero'),
  temperature: optional('temperature', 'any'),
};

/** Thickening with age: `age`, `viscosity` or `factor`, `temperature`; rows with neither are left out. */
export async function readCureCurve(
  text: string,
  file: string,
  given: readonly GivenColumn[] = [],
): Promise<DataReading<CureCurveRow>> {
  return readRows({ text, file, given }, CURE_CURVE, ['viscosity', 'factor'], (v, line) => ({
    ...v,
    age: v.age!,
    line,
  }));
}

/** Columns that each kind of data of `fit` has, by the names under which they are found. */
export const FIT_COLUMNS = {
  trials: Object.keys(TRIAL),
  flowCurve: Object.keys(FLOW_CURVE),
  cure: Object.keys(CURE_CURVE),
} as const;

interface DataSource {
  readonly text: string;
  readonly file: string;
  readonly given: readonly GivenColumn[];
}

type Values<K extends string> = Record<K, number | null>;

/**
 * Reads the columns and makes rows of them. Rows that have neither of the two measurements are left out with one warning; rows with a
 * finding are left out, and any error leaves no rows at all.
 */
async function readRows<K extends string, T>(
  { text, file, given }: DataSource,
  specs: Readonly<Record<K, ColumnSpec>>,
  measured: readonly [NoInfer<K>, NoInfer<K>],
  make: (values: Values<K>, line: number, complain: (message: string) => null) => T | null,
): Promise<DataReading<T>> {
  const { table, diagnostics: early } = readCsv(text, file, given);
  if (table === null) return { rows: null, table, taken: null, diagnostics: early };
  const either = measured.flatMap(name => {
    const column = findColumn(table, name);
    return column === undefined || 'code' in column ? [] : [column];
  });
  const empty = (row: number): boolean => either.length > 0 && either.every(c => c.cells[row] === '');
  const read = await readColumns(table, specs, empty);
  const diagnostics = [...early, ...read.diagnostics];
  if (!read.taken.some(t => measured.includes(t.name))) {
    const message = `there is neither a column "${measured[0]}" nor "${measured[1]}"`;
    const help = 'add one of them to the header, with its unit, or name one with --column';
    diagnostics.push(placed(floorFinding('data-column-missing', measured[0], message, help), table.place(-1, 0)));
  }
  const leftOut = Array.from({ length: table.rows }, (_, i) => i).filter(empty);
  diagnostics.push(...leftOutFinding(table, leftOut, { what: measured.join(' nor '), of: table.rows }));
  const bad = new Set(diagnostics.filter(d => d.severity === 'error').map(d => d.line));
  const names = Object.keys(specs) as K[];
  const whole = !bad.has(table.place(-1, 0).line);
  const rows: T[] = [];
  for (let i = 0; i < table.rows && whole; i++) {
    const at = table.place(i, 0);
    if (empty(i) || bad.has(at.line)) continue;
    const values = Object.fromEntries(names.map(name => [name, read.values[name][i]!])) as Values<K>;
    const complain = (message: string): null => {
      const help = 'fill in one of the cells, or remove the row';
      diagnostics.push(placed(floorFinding('data-cell-missing', null, message, help), at));
      return null;
    };
    const row = make(values, at.line, complain);
    if (row !== null) rows.push(row);
  }
  diagnostics.sort(byPosition);
  const usable = !diagnostics.some(d => d.severity === 'error');
  const taken = dataTaken(table, read.taken, { used: rows.length, leftOut: leftOut.length });
  return { rows: usable ? rows : null, table, taken, diagnostics };
}
