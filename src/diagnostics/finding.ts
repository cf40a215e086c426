/** How bad a finding is: an error makes the recipe or the data unsound, a warning asks for a look. */
export type Severity = 'error' | 'warning';

/**
 * What a check or a computation has to say about one value, before it is known where that value stands.
 * `path` is the dotted path of the key in the recipe (`connector.cavity[0].diameter`), or null for the whole file.
 */
export interface Finding {
  /** Stable, kebab-case, never renamed. */
  readonly code: string;
  readonly severity: Severity;
  /** What was found and what was expected. */
  readonly message: string;
  readonly path: string | null;
  /** What to do about it. */
  readonly help: string | null;
  /** What follows for the recipe it was found with, of a finding that many recipes have in common. */
  readonly effect?: string;
}

/** A place in a text: 1-based line and column, end exclusive. */
export interface Place {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly end_line: number;
  readonly end_column: number;
}

/** Name of the file that overrides of the call are said to stand in: line n is the n-th of them. */
export const OVERRIDE_FILE = '--set';

/** A finding with its place; the shape that every report and `--json` shows. */
export interface Diagnostic extends Finding, Place {}

/** Builds a finding; `help` and `path` default to null. */
export function finding(
  severity: Severity,
  code: string,
  path: string | null,
  message: string,
  help: string | null = null,
): Finding {
  return { code, severity, message, path, help };
}

/** Puts a finding at a place, with the keys in the order in which reports show them. */
export function placed(f: Finding, at: Place): Diagnostic {
  return {
    code: f.code,
    severity: f.severity,
    message: f.message,
    file: at.file,
    line: at.line,
    column: at.column,
    end_line: at.end_line,
    end_column: at.end_column,
    path: f.path,
    help: f.help,
    ...(f.effect !== undefined && { effect: f.effect }),
  };
}

/** Order of diagnostics: file, line, column, code, message. Plain code-unit comparison, the same on every machine. */
export function byPosition(a: Diagnostic, b: Diagnostic): number {
  return (
    compare(a.file, b.file) ||
    a.line - b.line ||
    a.column - b.column ||
    compare(a.code, b.code) ||
    compare(a.message, b.message)
  );
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/**
 * What an analysis returns: the result, or null where it cannot be computed, and what there is to say about it.
 * A null result always comes with at least one finding of severity error.
 */
export interface Outcome<T> {
  readonly result: T | null;
  readonly findings: readonly Finding[];
}
