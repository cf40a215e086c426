import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type Delivery, type OperatingPoint, prepareDelivery } from '../delivery/operating-point.ts';
import { resinDot } from '../dot/dot.ts';
import { type ReadDot, readDot } from '../dot/read-dot.ts';
import { slowViscosity } from '../dot/spreading-resin.ts';

/** One trial in SI: shots at one setting, weighed together or put on one dot. */
export interface FitRow {
  readonly pressure: number; // [Pa] gauge
  readonly dwell: number; // [s]
  readonly age: number | null; // [s]; null: `process.ready_after`
  readonly temperature: number | null; // [K]; null: `process.temperature`
  readonly shots: number;
  readonly mass: number | null; // [kg] of all shots together
  readonly diameter: number | null; // [m] as seen from above
  /** Line in its file, for messages. */
  readonly line: number;
}

/** A trial with what the recipe without calibration says about it. */
export interface PreparedRow {
  readonly row: FitRow;
  /** Measured volume of one shot [m³]. */
  readonly measured: number;
  /** Declared reading error over the measured volume [-]; null where none is declared. */
  readonly readingError: number | null;
  readonly point: OperatingPoint;
}

export interface ReadingErrors {
  /** [kg] of one weighing */ readonly massError?: number;
  /** [m]; default `resin.dot.reading_error` where the recipe gives it */ readonly diameterError?: number;
}

/** Brings every trial to a measured volume and a recipe's prediction; everything that stands in the way is reported. */
export function prepareRows(recipe: Recipe, rows: readonly FitRow[], errors: ReadingErrors): Outcome<PreparedRow[]> {
  const { calibration: _replaced, ...plain } = recipe;
  const findings: Finding[] = [];
  const dot = rows.some(row => row.diameter !== null) ? keep(resinDot(recipe), findings) : null;
  const density = recipe.resin?.density?.value;
  if (rows.some(row => row.mass !== null) && density === undefined)
    findings.push(blockMissing('resin.density', 'a fit of masses'));
  const deliveries = new Map<number | null, Delivery | null>();
  const delivery = (temperature: number | null): Delivery | null => {
    if (!deliveries.has(temperature)) {
      const made = prepareDelivery(plain, temperature === null ? {} : { temperature }, 'a fit');
      deliveries.set(temperature, keep(made, findings));
    }
    return deliveries.get(temperature)!;
  };
  const prepared = rows.flatMap((row): PreparedRow[] => {
    const at = delivery(row.temperature)?.at(row.age === null ? {} : { age: row.age });
    if (at === undefined) return [];
    const read = dot === null || at.result === null ? null : readDot(recipe, dot, slowViscosity(at.result.rheology));
    const reading = readingOf(row, { dot: read, density: density ?? null, errors, recipe });
    if (at.result === null || reading === null) {
      for (const f of at.findings)
        findings.push(floorFinding('fit-row-impossible', null, `line ${row.line}: ${f.message}`));
      return [];
    }
    findings.push(...at.findings);
    if (!(at.result.deliver(row).volume > 0)) {
      const rest = inWords(at.result.restPressure, 'kPa');
      findings.push(
        floorFinding('fit-row-impossible', null, `line ${row.line}: by the recipe nothing flows at or below ${rest}`),
      );
      return [];
    }
    return [{ row, ...reading, point: at.result }];
  });
  const all = unique(findings);
  return { result: all.some(f => f.severity === 'error') ? null : prepared, findings: all };
}

function readingOf(
  row: FitRow,
  by: { dot: ReadDot | null; density: number | null; errors: ReadingErrors; recipe: Recipe },
): { measured: number; readingError: number | null } | null {
  if (row.mass !== null) {
    if (by.density === null) return null;
    const error = by.errors.massError;
    return {
      measured: row.mass / (by.density * row.shots),
      readingError: error === undefined ? null : error / row.mass,
    };
  }
  if (row.diameter === null || by.dot === null) return null;
  const volume = by.dot.volumeOf(row.diameter);
  const given = by.recipe.resin?.dot?.reading_error;
  const error =
    by.errors.diameterError ?? (given === undefined || given.source === 'default' ? undefined : given.value);
  if (error === undefined) return { measured: volume / row.shots, readingError: null };
  const wider = by.dot.volumeOf(row.diameter + error);
  return { measured: volume / row.shots, readingError: wider / volume - 1 };
}

function keep<T>(outcome: Outcome<T>, findings: Finding[]): T | null {
  findings.push(...outcome.findings);
  return outcome.result;
}

function unique(findings: readonly Finding[]): Finding[] {
  const seen = new Set<string>();
  return findings.filter(f => {
    const key = `${f.code} ${f.path} ${f.message}`;
    return seen.has(key) ? false : seen.add(key);
  });
}
