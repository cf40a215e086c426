import { type Command, Option } from 'commander';
import { type TrialsOptions, type TrialsResult, trials } from '../../analysis/trials/trials.ts';
import type { LevelChoice } from '../../analysis/trials/trials-levels.ts';
import type { TrialReading } from '../../analysis/trials/trials-plan.ts';
import { readFonts } from '../../files/fonts.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { renderTrials } from '../../report/text/render-trials.ts';
import { displayUnits } from '../../report/words/display-units.ts';
import { addResinOptions, RESIN_OPTIONS } from '../options/condition-options.ts';
import { wholeNumber } from '../options/number-option.ts';
import { quantityList } from '../options/quantity-list.ts';
import { type QuantityOption, quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requireSheetName } from '../write/sheet-name.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';
import { trialsCsv } from '../write/trials-csv.ts';

const HELP = `
Every pressure with every dwell at every age, each several times, in random order within an age:
age runs with the clock. The settings lie between half and twice the working one, inside the limits
of the station. Without --replicates there are as many as the wanted confidence takes. Fill the
masses, or with --by diameter the dots, into the CSV, correct the ages, and give it to \`fit\`.

Examples:
  $ dwellbook trials line-2/slim.yaml -o runs.csv
  $ dwellbook trials slim.yaml -o runs.csv --sheet runs.pdf --ages 15min,35min
  $ dwellbook trials slim.yaml --confidence "3 %" --offset-confidence "3 kPa"
  $ dwellbook trials slim.yaml --by diameter --shots 3 -o dots.csv
  $ dwellbook trials slim.yaml --pressures "100,200,300 kPa" --dwells 0.5s

Stay below the lowest pressure rating in the air line. Collect the shots in a pan that cannot
tip, and let no large mass of mixed resin stand.
`;

const OPTIONS = {
  confidence: { kind: 'factor', least: 'above zero' },
  offsetConfidence: { kind: 'pressure', least: 'above zero' },
  repeatability: { kind: 'factor', least: 'above zero' },
  readability: { kind: 'mass', least: 'above zero' },
  readingError: { kind: 'length', least: 'above zero' },
  pace: { kind: 'time', least: 'above zero' },
  ...RESIN_OPTIONS,
} as const;

const MOST_LEVELS = 12;

export const command: CommandModule = {
  define(command: Command): void {
    addResinOptions(
      addRecipeArguments(command)
        .optionsGroup('The runs:')
        .addOption(
          new Option('--by <reading>', 'weigh the shots, or read their dots')
            .choices(['mass', 'diameter'])
            .default('mass'),
        )
        .option('-o, --out <file>', 'the run sheet as CSV, readings to be filled in')
        .option('--sheet <file>', 'the run sheet as a PDF to write on')
        .addOption(new Option('--paper <size>', 'size of its paper').choices(['a4', 'letter']).default('a4'))
        .option('--pressures <n|list>', 'how many pressures, or which; default: 3')
        .option('--dwells <n|list>', 'how many dwells, or which; default: 3')
        .option('--ages <list>', 'ages at which to begin; default: `process.ready_after`')
        .option('--shots <n>', 'shots on one weighing or dot; default: 5', wholeNumber(1))
        .option('--replicates <n>', 'weighings of each setting; default: as many as it takes', wholeNumber(1, 1000))
        .option('--seed <n>', 'of the random order; default: 1', wholeNumber(0))
        .option('--pace <quantity>', 'from one weighing to the next; default: "1 min"')
        .optionsGroup('What it is to tell:')
        .option('--confidence <percent>', 'half-width of the viscosity factor; default: "5 %"')
        .option('--offset-confidence <quantity>', 'half-width of the pressure offset')
        .option('--repeatability <percent>', 'scatter from shot to shot; default: by the recipe')
        .option('--readability <quantity>', 'smallest step of the balance')
        .option('--reading-error <quantity>', 'half-width of a misread dot; default: the recipe'),
    ).addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireSheetName(call.flags['sheet'] as string | undefined, '--sheet');
    const options = await optionsOf(call);
    return runOnRecipes(call, {
      ownOutput: true,
      single: call.flags['sheet'] !== undefined,
      render: renderTrials,
      compute: async (recipe, loaded) => {
        const { result, findings } = trials(recipe, options);
        if (result === null) return { result, findings };
        const sheet = typeof call.flags['sheet'] === 'string' ? call.flags['sheet'] : null;
        if (sheet !== null) call.io.writeFile(sheet, await sheetOf(call, recipe, loaded, result));
        if (call.out !== null) call.io.writeFile(call.out, trialsCsv(result));
        return { result: { ...result, table: call.out, sheet }, findings };
      },
    });
  },
};

async function optionsOf(call: Call): Promise<TrialsOptions> {
  const { seed, shots, replicates, ages } = call.flags as {
    seed?: number;
    shots?: number;
    replicates?: number;
    ages?: string;
  };
  const by = call.flags['by'] as TrialReading;
  if (by === 'mass' && call.flags['readingError'] !== undefined)
    throw new UsageError('--reading-error goes with --by diameter');
  if (by === 'diameter' && call.flags['readability'] !== undefined)
    throw new UsageError('--readability is of a balance; dots have --reading-error');
  const pressures = await levelsOf(call, 'pressures', { kind: 'pressure', least: 'above zero' });
  const dwells = await levelsOf(call, 'dwells', { kind: 'time', least: 'above zero' });
  return {
    ...(await quantityFlags(call, OPTIONS)),
    by,
    ...(seed !== undefined && { seed }),
    ...(shots !== undefined && { shots }),
    ...(replicates !== undefined && { replicates }),
    ...(pressures !== undefined && { pressures }),
    ...(dwells !== undefined && { dwells }),
    ...(ages !== undefined && { ages: await quantityList('--ages', ages, { kind: 'time', least: 'zero or above' }) }),
  };
}

/** A whole number is how many, anything else which. */
async function levelsOf(call: Call, name: string, option: QuantityOption): Promise<LevelChoice | undefined> {
  const text = call.flags[name];
  if (typeof text !== 'string') return undefined;
  if (!/^\s*\d+\s*$/.test(text)) return quantityList(`--${name}`, text, option);
  const count = Number(text);
  if (count >= 1 && count <= MOST_LEVELS) return count;
  throw new UsageError(`--${name} ${text}: write 1 to ${MOST_LEVELS}, or a list with units`);
}

async function sheetOf(call: Call, recipe: Recipe, loaded: LoadedRecipe, result: TrialsResult): Promise<Uint8Array> {
  const { trialsPdf } = await import('../../report/pdf/trials-sheet.ts');
  const input = {
    ...sheetOrigin(loaded),
    trials: result,
    pressure: displayUnits(recipe).pressure,
    paper: call.flags['paper'] as 'a4' | 'letter',
  };
  return trialsPdf(input, readFonts());
}
