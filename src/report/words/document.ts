import type { Diagnostic } from '../../diagnostics/finding.ts';
import { visibleJson } from '../../diagnostics/visible-text.ts';

/** What every command writes with `--json`. */
export interface ResultDocument<T> {
  readonly format: 1;
  readonly command: string;
  /** Path of the recipe as given; null for a command without one. */
  readonly recipe: string | null;
  readonly name: string | null;
  readonly result: T | null;
  readonly diagnostics: readonly Diagnostic[];
}

export function resultDocument<T>(fields: Omit<ResultDocument<T>, 'format'>): ResultDocument<T> {
  return {
    format: 1,
    command: fields.command,
    recipe: fields.recipe,
    name: fields.name,
    result: fields.result,
    diagnostics: fields.diagnostics,
  };
}

/**
 * JSON text with a line break at its end. Throws RangeError on a number that JSON cannot hold, with its key: it would
 * come out as null, which means "does not apply". Characters that are not seen are written as escapes.
 */
export function jsonText(value: unknown): string {
  return `${visibleJson(JSON.stringify(value, requireFiniteNumber, 2))}\n`;
}

function requireFiniteNumber(key: string, value: unknown): unknown {
  if (typeof value === 'number' && !Number.isFinite(value)) throw new RangeError(`the result "${key}" is ${value}`);
  return value;
}
