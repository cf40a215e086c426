import type { Command } from 'commander';
import { needleTable } from '../../physics/needle-table.ts';
import { jsonText, resultDocument } from '../../report/document.ts';
import { needleRows, renderNeedles } from '../../report/render-needles.ts';
import type { Call, CommandModule } from '../command.ts';
import { EXIT, type ExitStatus } from '../exit-status.ts';
import { writeOutput } from '../write-output.ts';

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
    command.argument('[gauge...]', 'only these gauges').addHelpText('after', HELP);
  },

  async run(call: Call): Promise<ExitStatus> {
    const needles = needleRows(needleTable).filter(row => call.args.length === 0 || call.args.includes(row.gauge));
    const document = resultDocument({
      command: call.name,
      recipe: null,
      name: null,
      result: { needles },
      diagnostics: [],
    });
    writeOutput(call, call.format === 'json' ? jsonText(document) : `${renderNeedles(needles, call.view)}\n`);
    return EXIT.done;
  },
};
