import type { Command } from 'commander';
import { cavity } from '../../analysis/cavity/cavity.ts';
import { cavityView } from '../../analysis/cavity/cavity-view.ts';
import type { TextMeasure } from '../../report/page/text-measure.ts';
import { renderCavity } from '../../report/text/render-cavity.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { isPictureName, requirePictureUnlessText, writePicture } from '../write/write-picture.ts';

const HELP = `
-o draws the connector to scale where the name ends in .svg or .pdf: the needle at its seat, then
the cable with resin to the least, the wanted and the greatest reach. Under another name goes
the text, or the JSON.

Examples:
  $ dwellbook cavity line-2/slim.yaml
  $ dwellbook cavity line-2/slim.yaml -o section.pdf
  $ dwellbook cavity line-2/slim.yaml --set connector.reach.max="12 mm"
  $ dwellbook cavity line-2/ --json -o cavities.json
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command).addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const { out } = call;
    if (out === null || !isPictureName(out)) {
      if (out !== null) requirePictureUnlessText(out);
      return runOnRecipes(call, { compute: recipe => cavity(recipe), render: renderCavity });
    }
    const { cavityDrawing } = await import('../../report/section/cavity-drawing.ts');
    return runOnRecipes(call, {
      ownOutput: true,
      render: renderCavity,
      compute: async (recipe, loaded) => {
        const made = cavity(recipe);
        const view = cavityView(recipe);
        const { result } = made;
        if (result === null || view === null) return made;
        const name = recipe.name ?? loaded.file;
        const draw = (measure?: TextMeasure) => [cavityDrawing(result, view, name, measure)];
        await writePicture(call.io, out, { title: `Section: ${name}`, made: loaded.file, draw });
        return made;
      },
    });
  },
};
