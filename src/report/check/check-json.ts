import { jsonText, resultDocument } from '../words/document.ts';
import type { CheckInput, SilencedDiagnostic } from './check-input.ts';

/** The result of `check`: how many of each there are, and what the recipe silences. */
export interface CheckResult {
  readonly errors: number;
  readonly warnings: number;
  readonly silenced: readonly SilencedDiagnostic[];
}

export function checkJson({ checked, single }: CheckInput): string {
  const documents = checked.map(({ file, name, diagnostics, silenced }) => {
    const errors = diagnostics.filter(({ severity }) => severity === 'error').length;
    const result: CheckResult = { errors, warnings: diagnostics.length - errors, silenced };
    return resultDocument({ command: 'check', recipe: file, name, result, diagnostics });
  });
  return jsonText(single ? documents[0] : documents);
}
