import type { CheckInput } from './check-input.ts';
import { jsonText, resultDocument } from './document.ts';

/** The result of `check`: how many of each there are. */
export interface CheckResult {
  readonly errors: number;
  readonly warnings: number;
}

export function checkJson({ checked, single }: CheckInput): string {
  const documents = checked.map(({ file, name, diagnostics }) => {
    const errors = diagnostics.filter(({ severity }) => severity === 'error').length;
    const result: CheckResult = { errors, warnings: diagnostics.length - errors };
    return resultDocument({ command: 'check', recipe: file, name, result, diagnostics });
  });
  return jsonText(single ? documents[0] : documents);
}
