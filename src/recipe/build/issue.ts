import { type Diagnostic, type Finding, finding, placed } from '../../diagnostics/finding.ts';
import { type Origin, originAt } from '../parts/origin.ts';
import { type Path, pathText } from '../yaml/path.ts';

/** Something wrong at a path of the merged data, before its place is looked up. */
export interface Issue {
  readonly code: string;
  readonly message: string;
  readonly help: string | null;
  readonly path: Path;
  /** Unknown keys are shown at the key, everything else at the value. */
  readonly at: 'key' | 'value';
}

/** Builds an issue at a value. */
export function issue(code: string, path: Path, message: string, help: string | null = null): Issue {
  return { code, path, message, help, at: 'value' };
}

/** The issue with its place. */
export function placedIssue(i: Issue, origin: Origin): Diagnostic {
  const f: Finding = finding('error', i.code, pathText(i.path), i.message, i.help);
  const { source, path } = originAt(origin, i.path);
  return placed(f, source.place(path, i.at));
}
