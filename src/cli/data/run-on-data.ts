import { type DataTaken, takenNote } from '../../data/columns/data-taken.ts';
import { byPosition, type Diagnostic } from '../../diagnostics/finding.ts';
import { mergeRepeated } from '../../diagnostics/repeated.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { lineFor } from '../../report/words/paragraph.ts';
import { sourceLines } from '../recipes/source-lines.ts';
import type { Call } from '../terminal/command.ts';
import { EXIT, type ExitStatus } from '../terminal/exit-status.ts';

/** What a command over a data file, without a recipe, has found. */
export interface DataOutcome<T> {
  readonly result: T | null;
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Prints the result of a data file: text or one JSON document to standard output, findings of the text form to standard error.
 * `-o` belongs to the command. Ends with 1 when there is no result.
 */
export function finishOnData<T>(call: Call, outcome: DataOutcome<T>, render: (result: T) => string): ExitStatus {
  const diagnostics = mergeRepeated([...outcome.diagnostics].sort(byPosition));
  const { result } = outcome;
  if (call.format === 'json') {
    call.io.stdout(jsonText(resultDocument({ command: call.name, recipe: null, name: null, result, diagnostics })));
  } else {
    if (result !== null) call.io.stdout(`${render(result)}\n`);
    call.io.stderr(renderDiagnostics(diagnostics, call.messages, sourceLines(call.io.files)));
  }
  return result === null ? EXIT.unsound : EXIT.done;
}

/** Says on standard error what was taken of a data file otherwise than its plain form has it; `--json` has it in the result. */
export function noteTaken(call: Call, file: string, taken: DataTaken | null): void {
  const note = taken === null || call.format === 'json' ? null : takenNote(taken);
  if (note !== null) call.io.stderr(`${lineFor(call.messages, `${file}: ${note}`)}\n`);
}
