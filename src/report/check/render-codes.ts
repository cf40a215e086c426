import type { CodeText } from '../../diagnostics/codes/coded.ts';
import { paragraph } from '../words/paragraph.ts';
import { tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

export interface ExplainedCode extends Pick<CodeText, 'severity' | 'title' | 'why' | 'remedy'> {
  readonly code: string;
}

/** The facts of these codes, in their order, each with its code. */
export function explainedCodes(
  catalogue: Readonly<Record<string, CodeText>>,
  codes: readonly string[],
): ExplainedCode[] {
  return codes.flatMap(code => {
    const facts = catalogue[code];
    if (facts === undefined) return [];
    const { severity, title, why, remedy } = facts;
    return [{ code, severity, title, why, remedy }];
  });
}

/** One code in full. */
export function renderCode({ code, severity, title, why, remedy }: ExplainedCode, view: View): string {
  const sign = severity === 'error' ? view.style.error('error') : view.style.warning('warning');
  const part = (head: string, text: string) => `${head}\n${paragraph(text, view.columns, '  ')}`;
  const head = paragraph(`${view.style.strong(code)} (${sign}): ${title}`, view.columns);
  return `${head}\n\n${part('Why', why)}\n\n${part('What to do', remedy)}`;
}

/** All codes, one a line. */
export function renderCodes(codes: readonly ExplainedCode[], view: View): string {
  return tableText(
    [{ head: 'code' }, { head: 'severity' }, { head: 'title' }],
    codes.map(({ code, severity, title }) => [code, severity, title]),
    view,
  );
}
