import type { Command } from 'commander';
import { oven } from '../../analysis/oven/oven.ts';
import { ovenCharts } from '../../report/chart/oven-charts.ts';
import { renderOven } from '../../report/text/render-oven.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requirePictureName, writePicture } from '../write/write-picture.ts';

const HELP = `
The profile is \`process.oven\`, straight between its points. It needs the kinetics of the resin
(\`resin.cure\` with the model castro-macosko); \`resin.glass\` gives the glass transition,
\`resin.shrinkage\` how far the bead sinks. The age is that of the first and of the last shot
unless one is given: add what a connector waits before the oven.

Examples:
  $ dwellbook oven line-2/slim.yaml
  $ dwellbook oven line-2/slim.yaml --age "70 min" -o cure.svg
  $ dwellbook oven line-2/slim.yaml --set "resin.glass.cured=95 degC"

Ovens burn, and warm resin gives off vapour: gloves, ventilation, temperatures and times as the
data sheet of the resin and the manual of the oven have them. Prove a cure on scrap connectors.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The oven:')
      .option('--age <quantity>', 'since the resin was mixed, when the connector goes into the oven')
      .option('-o, --out <file>', 'a chart of the cure, SVG or PDF')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const options = await quantityFlags(call, { age: { kind: 'time', least: 'zero or above' } } as const);
    if (call.out !== null) requirePictureName(call.out);
    return runOnRecipes(call, {
      ownOutput: true,
      render: renderOven,
      compute: async (recipe, loaded) => {
        const made = oven(recipe, options);
        const { result } = made;
        if (result === null || call.out === null) return made;
        const title = `Cure: ${recipe.name ?? loaded.file}`;
        await writePicture(call.io, call.out, {
          ...{ title, made: loaded.file },
          draw: measure => ovenCharts(result, title, measure),
        });
        return made;
      },
    });
  },
};
