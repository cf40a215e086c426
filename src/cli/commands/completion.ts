import { Argument, type Command } from 'commander';
import { needleTable } from '../../physics/flow/needle-table.ts';
import { recipeKeys } from '../../recipe/format/recipe-keys.ts';
import { CATALOGUE } from '../../rules/catalogue.ts';
import { FORMATS } from '../check/check-formats.ts';
import { COMMANDS } from '../command-list.ts';
import { bashCompletion } from '../completion/bash-completion.ts';
import { commandWords } from '../completion/command-words.ts';
import { fishCompletion } from '../completion/fish-completion.ts';
import { zshCompletion } from '../completion/zsh-completion.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeOutput } from '../terminal/write-output.ts';

const SHELLS = { bash: bashCompletion, zsh: zshCompletion, fish: fishCompletion } as const;

const HELP = `
Writes a script that completes commands, options, files, codes, and recipe keys after --set and --grid.
Write it again after an update.

Examples:
  $ dwellbook completion bash \\
      > ~/.local/share/bash-completion/completions/dwellbook
  $ dwellbook completion zsh > ~/.zfunc/_dwellbook  (a folder in fpath)
  $ dwellbook completion fish > ~/.config/fish/completions/dwellbook.fish
  $ source <(dwellbook completion bash)             for this shell alone
`;

export const command: CommandModule = {
  define(command: Command): void {
    command
      .addArgument(new Argument('<shell>', 'the shell').choices(Object.keys(SHELLS)))
      .addHelpText('after', notes(HELP));
  },

  /** The script itself, whatever the format: it is for a shell, not a result of ours. */
  async run(call: Call): Promise<ExitStatus> {
    const formats = Object.keys(FORMATS);
    const words = await commandWords(COMMANDS, call.io, {
      code: Object.keys(CATALOGUE),
      gauge: [...new Set(needleTable.map(row => row.gauge))],
      format: formats,
      'format=file': formats.map(format => `${format}=`),
    });
    writeOutput(call, SHELLS[call.args[0] as keyof typeof SHELLS](words, recipeKeys()));
    return EXIT.done;
  },
};
