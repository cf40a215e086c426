import { type Command, Option } from 'commander';
import { batch } from '../../analysis/batch/batch.ts';
import { type MixOptions, type MixResult, mix } from '../../analysis/mix/mix.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { readFonts } from '../../files/fonts.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { renderMix } from '../../report/text/render-mix.ts';
import { wholeNumber } from '../options/number-option.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requireSheetName } from '../write/sheet-name.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';

const HELP = `
The ratio is \`resin.mix\` of the recipe, the scale \`station.scale\`. Below the least mass the
scale does not keep the ratio; above the largest the mix heats itself in its cup
(\`process.cup\`, with the kinetics and the heat of reaction of the resin) before it is used.
Without a mass a kit is what fills one syringe, within these limits.

Examples:
  $ dwellbook mix line-2/slim.yaml
  $ dwellbook mix line-2/slim.yaml --mass "8 g" -o mixing.pdf
  $ dwellbook mix line-2/slim.yaml --connectors 480 -o mixing.pdf

A mixed mass heats itself and can boil, smoke and burn: never leave a large one standing.
Gloves, eye protection and ventilation as the safety data sheet says. Ratio and order of
mixing are those of the data sheet.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The kit:')
      .addOption(new Option('--mass <quantity>', 'mixed mass of one kit').conflicts('connectors'))
      .option('--connectors <n>', 'as many kits, of that mass, as `batch` plans for them', wholeNumber(1))
      .option('-o, --out <file>', 'the mixing sheet as a PDF to write on')
      .addOption(new Option('--paper <size>', 'size of its paper').choices(['a4', 'letter']).default('a4'))
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireSheetName(call.out);
    const { mass } = await quantityFlags(call, { mass: { kind: 'mass', least: 'above zero' } } as const);
    const connectors = call.flags['connectors'] as number | undefined;
    return runOnRecipes(call, {
      ownOutput: true,
      render: renderMix,
      compute: async (recipe, loaded) => {
        const made = connectors === undefined ? mix(recipe, { mass }) : mixFor(recipe, connectors);
        if (made.result === null || call.out === null) return made;
        call.io.writeFile(call.out, await sheetOf(call, loaded, made.result));
        return { ...made, result: { ...made.result, sheet: call.out } };
      },
    });
  },
};

/** The kits that a batch of so many connectors takes. */
function mixFor(recipe: Recipe, connectors: number): Outcome<MixResult> {
  if (recipe.resin?.mix === undefined) return mix(recipe);
  const { result, findings } = batch(recipe, { connectors });
  if (result === null) return { result, findings };
  const kit: MixOptions = { kits: result.kits, ...(result.kit_g !== null && { mass: result.kit_g / 1e3 }) };
  const made = mix(recipe, kit);
  return { result: made.result, findings: [...findings, ...made.findings] };
}

async function sheetOf(call: Call, loaded: LoadedRecipe, result: MixResult): Promise<Uint8Array> {
  const { mixPdf } = await import('../../report/pdf/mix-sheet.ts');
  const paper = call.flags['paper'] as 'a4' | 'letter';
  return mixPdf({ ...sheetOrigin(loaded), mix: result, paper }, readFonts());
}
