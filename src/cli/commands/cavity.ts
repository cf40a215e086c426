import type { Command } from 'commander';
import { cavity } from '../../analysis/cavity/cavity.ts';
import { renderCavity } from '../../report/text/render-cavity.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
Examples:
  $ dwellbook cavity line-2/slim.yaml
  $ dwellbook cavity line-2/slim.yaml --set connector.reach.max="12 mm"
  $ dwellbook cavity line-2/ --json -o cavities.json
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command).addHelpText('after', notes(HELP));
  },

  run(call: Call): Promise<ExitStatus> {
    return runOnRecipes(call, { compute: recipe => cavity(recipe), render: renderCavity });
  },
};
