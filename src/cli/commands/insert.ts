import type { Command } from 'commander';
import { insert } from '../../analysis/insert/insert.ts';
import { renderInsert } from '../../report/text/render-insert.ts';
import { AGED_RESIN_OPTIONS, addAgedResinOptions } from '../options/condition-options.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
The age is that of the first and of the last shot of the program in force unless one is given.

Examples:
  $ dwellbook insert line-2/slim.yaml
  $ dwellbook insert line-2/slim.yaml --age "35 min" --temperature "18 degC"
  $ dwellbook insert line-2/slim.yaml --json

Fibre ends are sharp and may carry light: wear eye protection, and collect the scraps.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addAgedResinOptions(addRecipeArguments(command).optionsGroup('The resin:')).addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const options = await quantityFlags(call, AGED_RESIN_OPTIONS);
    return runOnRecipes(call, { compute: recipe => insert(recipe, options), render: renderInsert });
  },
};
