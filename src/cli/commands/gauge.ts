import { type Command, InvalidArgumentError, Option } from 'commander';
import { type GaugeOptions, gauge } from '../../analysis/dot/gauge.ts';
import { readFonts } from '../../files/fonts.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { gaugePdf } from '../../report/pdf/gauge-sheet.ts';
import { renderGauge } from '../../report/text/render-gauge.ts';
import { lengthUnit } from '../../report/words/display-units.ts';
import { positiveNumber, wholeNumber } from '../options/number-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requireSheetName } from '../write/sheet-name.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';

const HELP = `
Print at 100 %, without fitting to the page. Measure both bars on the paper; measured over
nominal length is --scale-x and --scale-y of the next print.

Examples:
  $ dwellbook gauge line-2/slim.yaml -o gauge.pdf
  $ dwellbook gauge line-2/slim.yaml -o gauge.pdf --paper letter --shots 5
  $ dwellbook gauge slim.yaml -o gauge.pdf --scale-x 0.994 --scale-y 1.002

Uncured resin irritates and sensitises skin: gloves, eye protection and ventilation as the
safety data sheet says. Check the gauge against weighed dots before you trust it.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The sheet:')
      .option('-o, --out <file>', 'the PDF to write; without it the rings are only listed')
      .addOption(new Option('--paper <size>', 'size of the paper').choices(['a4', 'letter']).default('a4'))
      .option('--shots <n>', 'shots on one circle; default: enough to tell the tolerance', wholeNumber(1))
      .option('--circles <n>', 'circles; default: as many as fit one page', wholeNumber(1))
      .option('--scale-x <ratio>', 'measured over nominal length of the bar across', positiveNumber)
      .option('--scale-y <ratio>', 'measured over nominal length of the bar down', positiveNumber)
      .option('--date <date>', 'date of creation in the file, YYYY-MM-DD; default: none', parseDate)
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireSheetName(call.out);
    return runOnRecipes(call, {
      ownOutput: true,
      render: renderGauge,
      compute: async (recipe, loaded) => {
        const { result, findings } = gauge(recipe, optionsOf(call));
        const wrong = findings.filter(({ code }) => code === 'gauge-option');
        if (wrong.length > 0) throw new UsageError(wrong.map(({ message }) => `--${message}`).join('\nerror: '));
        if (result === null || call.out === null) return { result, findings };
        const written = { ...result, file: call.out };
        call.io.writeFile(call.out, await pdfOf(call, loaded, written));
        return { result: written, findings };
      },
    });
  },
};

function optionsOf({ flags }: Call): GaugeOptions {
  const { paper, shots, circles, scaleX, scaleY } = flags as GaugeOptions;
  return { paper, shots, circles, scaleX, scaleY };
}

function pdfOf(call: Call, loaded: LoadedRecipe, gauge: Parameters<typeof gaugePdf>[0]['gauge']): Promise<Uint8Array> {
  const { created, ...origin } = sheetOrigin(loaded);
  const date = (call.flags['date'] as Date | undefined) ?? created;
  const length = lengthUnit(loaded.recipe!); // it has been computed from
  return gaugePdf({ gauge, format: 1, ...origin, created: date, length }, readFonts());
}

function parseDate(text: string): Date {
  const date = new Date(`${text}T00:00:00Z`);
  if (/^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(date.getTime()) && date.toISOString().startsWith(text))
    return date;
  throw new InvalidArgumentError('Write a date as YYYY-MM-DD.');
}
