import { type Command, Option } from 'commander';
import { type CardOptions, type CardResult, card } from '../../analysis/card/card.ts';
import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { readFonts } from '../../files/fonts.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { cardPdf } from '../../report/pdf/card-sheet.ts';
import { renderCard } from '../../report/text/render-card.ts';
import { displayUnits } from '../../report/words/display-units.ts';
import { loggedSyringe, syringeWords } from '../data/logged-syringe.ts';
import { clockTime } from '../options/clock-option.ts';
import { wholeNumber } from '../options/number-option.ts';
import { temperatureList } from '../options/temperature-list.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requireSheetName } from '../write/sheet-name.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';

const HELP = `
Two pages to hang at the station. The first decides alone: settings, ramp, hold-back, first-piece
check to scale, when to stop, lines to sign. The second has the work in steps, the dwell by
temperature and age, what the dots of a fresh syringe ask for, and lines for its checks. Settings come
from \`settings\` of the recipe; without them they are computed, and the card says so. Print at 100 %,
without fitting to the page.

--syringe makes the card of one syringe from its last check in the log of \`release\`: its own
program from that shot on, when it ends, and the tables for its thickness. The check has to be
of this very recipe, and to have released the syringe.

Examples:
  $ dwellbook card line-2/slim.yaml -o card.pdf
  $ dwellbook card line-2/slim.yaml -o card.pdf --mixed-at 10:05
  $ dwellbook card line-2/slim.yaml -o card.pdf --paper letter \\
      --dots-per-circle 5
  $ dwellbook card line-2/slim.yaml --syringe S-118 --log checks.csv \\
      -o S-118.pdf

Stay below the lowest pressure rating in the air line, and depressurise before opening.
Prove settings on scrap connectors before they are released.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The card:')
      .option('-o, --out <file>', 'the PDF to write; without it the content is only listed')
      .addOption(new Option('--paper <size>', 'size of the paper').choices(['a4', 'letter']).default('a4'))
      .option('--mixed-at <time>', 'when the kit was mixed: the card then gives clock times', clockTime)
      .option('--dots-per-circle <n>', 'shots on one circle; default: enough to tell the tolerance', wholeNumber(1))
      .option('--grid-temperatures <list>', 'of the table of dwells: "18, 20, 22 degC"')
      .optionsGroup('Of one syringe:')
      .option('--syringe <name>', 'as it is named in the log')
      .option('--log <file>', 'check log in which it was released')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireSheetName(call.out);
    const { paper, mixedAt, dotsPerCircle } = call.flags as CardOptions;
    const gridTemperatures = await temperatureList(call);
    const wanted = syringeWords(call);
    return runOnRecipes(call, {
      ownOutput: true,
      single: wanted !== null,
      render: renderCard,
      compute: async (recipe, loaded) => {
        const of = wanted === null ? null : await loggedSyringe(call, loaded, wanted);
        if (of !== null && of.syringe === null) return { result: null, findings: of.findings, placed: of.placed };
        const { result, findings } = card(recipe, {
          ...{ paper, mixedAt, dotsPerCircle, gridTemperatures },
          ...{ trial: call.set.length > 0, syringe: of?.syringe ?? undefined },
        });
        if (result === null || call.out === null) return { result, findings };
        const written = { ...result, file: call.out };
        const { bytes, stepsLeftOut } = await pdfOf(loaded, written);
        call.io.writeFile(call.out, bytes);
        return { result: written, findings: [...findings, ...leftOutFindings(stepsLeftOut)] };
      },
    });
  },
};

function leftOutFindings(steps: number): Finding[] {
  if (steps === 0) return [];
  const message = `${steps} steps of the ramp do not fit on the card, which gives the program and its first and last steps`;
  return [batchFinding('card-steps-summarised', 'settings.ramp', message)];
}

function pdfOf(loaded: LoadedRecipe, result: CardResult) {
  const units = displayUnits(loaded.recipe!); // it has been computed from
  return cardPdf({ card: result, units, format: 1, ...sheetOrigin(loaded) }, readFonts());
}
