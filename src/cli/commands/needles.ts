import type { Command } from 'commander';
import { needleList } from '../../analysis/needles/needle-list.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import { renderNeedles } from '../../report/text/render-needles.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeOutput } from '../terminal/write-output.ts';

const HELP = `
A recipe names a needle by gauge and wall; what the table does not know, the recipe gives as
\`needle.bore\` and \`needle.outside\`.

Examples:
  $ dwellbook needles
  $ dwellbook needles 20 22
  $ dwellbook needles --json

Needles puncture skin. Measure the bore where the result depends on it: flow goes with its
fourth power.
`;

export const command: CommandModule = {
  define(command: Command): void {
    command.argument('[gauge...]', 'only these gauges').addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireKnown(call.args);
    const result = needleList(call.args);
    const document = resultDocument({ command: call.name, recipe: null, name: null, result, diagnostics: [] });
    writeOutput(call, call.format === 'json' ? jsonText(document) : `${renderNeedles(result, call.view)}\n`);
    return EXIT.done;
  },
};

function requireKnown(gauges: readonly string[]): void {
  const known = [...new Set(needleList().needles.map(({ gauge }) => gauge))];
  const unknown = gauges.filter(gauge => !known.includes(gauge));
  if (unknown.length === 0) return;
  const near = didYouMean(unknown[0] ?? '', known);
  throw new UsageError(`no needle of gauge ${unknown.join(', ')} in the table${near === null ? '' : `; ${near}`}`);
}
