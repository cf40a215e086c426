import type { CodeText } from '../../diagnostics/codes/coded.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import type { SourceLine } from '../text/render-diagnostics.ts';
import type { View } from '../words/view.ts';

/** A finding that the recipe silences, with the reason it gives. */
export interface SilencedDiagnostic extends Diagnostic {
  readonly reason: string;
}

/** One recipe with what there is to say about it. */
export interface Checked {
  readonly file: string;
  readonly name: string | null;
  readonly diagnostics: readonly Diagnostic[];
  readonly silenced: readonly SilencedDiagnostic[];
  readonly sourceLine: SourceLine;
  /** No recipe, but the lock file that recipes are held to. */
  readonly isLock?: boolean;
}

/** Lines of the files that findings point at, each from the first recipe it was found with. */
export function sourceLineOf(checked: readonly Checked[]): SourceLine {
  const sources = new Map<string, SourceLine>();
  for (const { diagnostics, sourceLine } of checked) {
    for (const { file } of diagnostics) if (!sources.has(file)) sources.set(file, sourceLine);
  }
  return (file, line) => sources.get(file)?.(file, line) ?? null;
}

export interface CheckInput {
  readonly checked: readonly Checked[];
  /** One recipe file was named: JSON is an object. */
  readonly single: boolean;
  /** YAML files that were no recipes. */
  readonly leftOut: readonly string[];
  readonly view: View;
  readonly codes: Readonly<Record<string, CodeText>>;
  /** Where a file stands in its repository, with slashes; an absolute path where it stands outside. */
  readonly pathFromRoot: (file: string) => string;
  /** Of this program. */
  readonly version: string;
}
