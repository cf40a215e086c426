import { jsonText, type ResultDocument } from '../../report/words/document.ts';
import type { Call } from '../terminal/command.ts';
import { EXIT, type ExitStatus } from '../terminal/exit-status.ts';
import { writeOutput } from '../terminal/write-output.ts';

/** The end of a call that gives one document a recipe, which were made in shards. */
export async function finishDocuments(call: Call, whole: unknown, pieces: readonly unknown[]): Promise<ExitStatus> {
  const documents = pieces as readonly ResultDocument<unknown>[];
  writeOutput(call, jsonText((whole as { single: boolean }).single ? documents[0] : documents));
  return documents.some(({ result }) => result === null) ? EXIT.unsound : EXIT.done;
}
