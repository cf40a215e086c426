import type { Command } from 'commander';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import { explainedCodes, renderCode, renderCodes } from '../../report/check/render-codes.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { CATALOGUE } from '../../rules/catalogue.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeOutput } from '../terminal/write-output.ts';

const HELP = `
A code stands in brackets at the end of every finding. Without one, all are listed.

Examples:
  $ dwellbook explain unit-missing
  $ dwellbook explain
`;

export const command: CommandModule = {
  define(command: Command): void {
    command.argument('[code...]', 'codes of findings').addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const known = Object.keys(CATALOGUE).sort();
    const unknown = call.args.filter(code => !Object.hasOwn(CATALOGUE, code));
    if (unknown.length > 0) throw new UsageError(unknown.map(code => unknownCode(code, known)).join('\nerror: '));
    const codes = explainedCodes(CATALOGUE, call.args.length === 0 ? known : call.args);
    if (call.format === 'json') {
      const fields = { command: call.name, recipe: null, name: null, result: { codes }, diagnostics: [] };
      writeOutput(call, jsonText(resultDocument(fields)));
    } else if (call.args.length === 0) writeOutput(call, `${renderCodes(codes, call.view)}\n`);
    else writeOutput(call, codes.map(code => `${renderCode(code, call.view)}\n`).join('\n'));
    return EXIT.done;
  },
};

function unknownCode(code: string, known: readonly string[]): string {
  const near = didYouMean(code, known);
  return `no finding has the code "${code}"${near === null ? '; `dwellbook explain` lists them' : `; ${near}`}`;
}
