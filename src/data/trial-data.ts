import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, placed } from '../diagnostics/finding.ts';
import { type ColumnSpec, readColumns } from './columns.ts';
import { type DataTable, readCsv } from './csv.ts';

/** What a typed reader gives: null rows where the file cannot be used; the table is there for columns that are only carried along. */
export interface DataReading<T> {
  readonly rows: readonly T[] | null;
  readonly table: DataTable | null;
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

/** Trial data: `pressure`, `dwell`, `age`, `temperature`, `shots` (1 where empty), and `mass` or `diameter` in every row. */
export async function readTrialData(text: string, file: string): Promise<DataReading<TrialRow>> {
  return readRows(
    text,
    file,
    TRIAL,
    (v, line, complain) => {
      if (v.mass === null && v.diameter === null) return complain('the row has neither a mass nor a diameter');
      if (v.mass !== null && v.diameter !== null)
        return complain('the row has both a mass and a diameter; one of them is fitted');
      return { ...v, pressure: v.pressure!, dwell: v.dwell!, shots: v.shots ?? 1, line };
    },
    [['mass', 'diameter']],
  );
}

const FLOW_CURVE = {
  shear_rate: needed('rate', 'above zero'),
  viscosity: optional('viscosity', 'above zero'),
  shear_stress: optional('stress', 'above zero'),
  temperature: optional('temperature', 'any'),
};

/** A rheometer's flow curve: `shear_rate`, `viscosity` or `shear_stress`, `temperature`. */
export async function readFlowCurve(text: string, file: string): Promise<DataReading<FlowCurveRow>> {
  return readRows(
    text,
    file,
    FLOW_CURVE,
    (v, line, complain) => {
      const viscosity = v.viscosity ?? (v.shear_stress === null ? null : v.shear_stress / v.shear_rate!);
      if (viscosity === null) return complain('the row has neither a viscosity nor a shear stress');
      return { shearRate: v.shear_rate!, viscosity, temperature: v.temperature, line };
    },
    [['viscosity', 'shear_stress']],
  );
}

const CURE_CURVE = {
  age: needed('time', 'zero or above'),
  viscosity: optional('viscosity', 'above zero'),
  factor: optional('factor', 'above zero'),
  temperature: optional('temperature', 'any'),
};

/** Thickening with age: `age`, `viscosity` or `factor`, `temperature`. */
export async function readCureCurve(text: string, file: string): Promise<DataReading<CureCurveRow>> {
  return readRows(
    text,
    file,
    CURE_CURVE,
    (v, line, complain) => {
      if (v.viscosity === null && v.factor === null) return complain('the row has neither a viscosity nor a factor');
      return { ...v, age: v.age!, line };
    },
    [['viscosity', 'factor']],
  );
}

type Values<K extends string> = Record<K, number | null>;

/** Reads the columns and makes rows of them; rows with a finding are left out, and any error leaves no rows at all. */
async function readRows<K extends string, T>(
  text: string,
  file: string,
  specs: Readonly<Record<K, ColumnSpec>>,
  make: (values: Values<K>, line: number, complain: (message: string) => null) => T | null,
  oneOf: readonly (readonly [NoInfer<K>, NoInfer<K>])[],
): Promise<DataReading<T>> {
  const { table, diagnostics: early } = readCsv(text, file);
  if (table === null) return { rows: null, table, diagnostics: early };
  const read = await readColumns(table, specs);
  const diagnostics = [...early, ...read.diagnostics];
  for (const [a, b] of oneOf) {
    if (read.present.has(a) || read.present.has(b)) continue;
    const help = 'add one of them to the header, with its unit';
    diagnostics.push(
      placed(
        floorFinding('data-column-missing', a, `there is neither a column "${a}" nor "${b}"`, help),
        table.place(-1, 0),
      ),
    );
  }
  const bad = new Set(diagnostics.map(d => d.line));
  const names = Object.keys(specs) as K[];
  const whole =
    !early.some(d => d.code === 'data-column-duplicate') && !diagnostics.some(d => d.line === table.place(-1, 0).line);
  const rows: T[] = [];
  for (let i = 0; i < table.rows && whole; i++) {
    const at = table.place(i, 0);
    if (bad.has(at.line)) continue;
    const values = Object.fromEntries(names.map(name => [name, read.values[name][i]!])) as Values<K>;
    const complain = (message: string): null => {
      diagnostics.push(
        placed(floorFinding('data-cell-missing', null, message, 'fill in one of the cells, or remove the row'), at),
      );
      return null;
    };
    const row = make(values, at.line, complain);
    if (row !== null) rows.push(row);
  }
  diagnostics.sort(byPosition);
  const usable = !diagnostics.some(d => d.severity === 'error');
  return { rows: usable ? rows : null, table, diagnostics };
}
