import type { Diagnostic } from '../diagnostics/finding.ts';
import type { SourceLine } from './render-diagnostics.ts';
import type { View } from './view.ts';

/** One recipe with what there is to say about it. */
export interface Checked {
  readonly file: string;
  readonly name: string | null;
  readonly diagnostics: readonly Diagnostic[];
  readonly sourceLine: SourceLine;
}

export interface CheckInput {
  readonly checked: readonly Checked[];
  /** One recipe file was named: JSON is an object. */
  readonly single: boolean;
  /** YAML files that were no recipes. */
  readonly leftOut: readonly string[];
  readonly view: View;
}
