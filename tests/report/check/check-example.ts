import type { Diagnostic } from '../../../src/diagnostics/finding.ts';
import type { Checked, CheckInput } from '../../../src/report/check/check-input.ts';
import { styleOf } from '../../../src/report/words/style.ts';

export function diagnostic(over: Partial<Diagnostic> = {}): Diagnostic {
  return {
    code: 'unit-mismatch',
    severity: 'error',
    message: '"12 mm" is not a pressure',
    file: 'line 2/a.yaml',
    line: 12,
    column: 13,
    end_line: 12,
    end_column: 18,
    path: 'settings.pressure',
    help: 'write kPa, bar or psi',
    ...over,
  };
}

export function checked(over: Partial<Checked> = {}): Checked {
  return {
    file: 'line 2/a.yaml',
    name: 'Tide-gauge pigtail',
    diagnostics: [],
    silenced: [],
    sourceLine: () => null,
    ...over,
  };
}

const text = (severity: 'error' | 'warning', title: string) => ({
  severity,
  title,
  why: 'Because.',
  remedy: 'Mend it.',
  checked: true,
  silenceable: severity === 'warning',
});

export function input(...recipes: Checked[]): CheckInput {
  return {
    checked: recipes,
    single: recipes.length === 1,
    leftOut: [],
    view: { style: styleOf(0), columns: 80 },
    codes: {
      'unit-mismatch': text('error', 'the unit measures something else'),
      'ramp-missing': text('warning', 'The shot needs a ramp and has none'),
    },
    pathFromRoot: file => file,
    version: '1.2.3',
  };
}
