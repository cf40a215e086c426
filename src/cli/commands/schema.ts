import type { Command } from 'commander';
import { recipeJsonSchema } from '../../recipe/format/json-schema.ts';
import { jsonText } from '../../report/words/document.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeOutput } from '../terminal/write-output.ts';

const HELP = `
Draft-07, for editors and validators. It holds the shape of a recipe; \`check\` also holds units,
places and the engineering.

An editor with a YAML language server completes keys and marks errors when the first line of a recipe
says where the schema is; \`dwellbook new\` writes that line:

  # yaml-language-server: $schema=recipe.schema.json

Examples:
  $ dwellbook schema -o recipe.schema.json
`;

export const command: CommandModule = {
  define(command: Command): void {
    command.addHelpText('after', notes(HELP));
  },

  /** The schema itself, whatever the format: it is a JSON document for others, not a result of ours. */
  async run(call: Call): Promise<ExitStatus> {
    writeOutput(call, jsonText(recipeJsonSchema()));
    return EXIT.done;
  },
};
