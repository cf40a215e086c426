import type { Command } from 'commander';
import { type ReleaseOptions, release } from '../../analysis/release/release.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { renderRelease } from '../../report/text/render-release.ts';
import { logRelease } from '../check/check-log-entry.ts';
import { AGED_RESIN_OPTIONS, SETTING_OPTIONS } from '../options/condition-options.ts';
import { wholeNumber } from '../options/number-option.ts';
import { quantityList, refuseDecimalCommas } from '../options/quantity-list.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
Decides from a few dots or weighings of a fresh syringe: use, use with trim, or reject. A syringe
is released only when the whole 95 % interval of its mean shot lies inside the window; a trim
corrects the dwell by a quarter at most. The decision is a result: a rejected syringe ends with
status 0.

--log appends one line to a CSV file, which is created with its header when it is not there. What
is in it is never rewritten.

Examples:
  $ dwellbook release slim.yaml --dots 4.93mm,4.97mm,4.9mm --shots 4 \\
      --age "14 min" --temperature "22.5 degC"
  $ dwellbook release slim.yaml --masses "37.9,38.4,38.1 mg" --shots 5 \\
      --log checks.csv --syringe S-118 --lot L-0412 --operator AB

Uncured resin irritates and sensitises skin: gloves, eye protection and ventilation as the safety
data sheet says. Prove the first connectors of a syringe as before.
`;

const OPTIONS = {
  ...AGED_RESIN_OPTIONS,
  dispensed: { kind: 'volume', least: 'zero or above' },
  ...SETTING_OPTIONS,
  readability: { kind: 'mass', least: 'above zero' },
  readingError: { kind: 'length', least: 'above zero' },
  trimLimit: { kind: 'factor', least: 'above zero' },
} as const;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The readings:')
      .option('--dots <list>', 'diameters as seen from above, separated by commas')
      .option('--masses <list>', 'weighings, separated by commas')
      .option('--shots <n>', 'shots on one dot or in one weighing', wholeNumber(1), 1)
      .option('--reading-error <quantity>', 'half-width of a misread diameter; default: the recipe')
      .option('--readability <quantity>', 'smallest step of the balance')
      .optionsGroup('How they were made:')
      .option('--age <quantity>', 'time since the resin was mixed')
      .option('--temperature <quantity>', 'of the resin')
      .option('--pressure <quantity>', 'in place of `settings.pressure`')
      .option('--dwell <quantity>', 'in place of `settings.dwell`')
      .option('--lot-factor <number>', "viscosity of this lot over the recipe's")
      .option('--dispensed <quantity>', 'volume that had left the syringe before')
      .option('--trim-limit <percent>', 'greatest correction of a trim; default: "25 %"')
      .optionsGroup('The log:')
      .option('--log <file>', 'append the check to this file')
      .option('--syringe <name>', 'which syringe')
      .option('--lot <name>', 'lot of the resin')
      .option('--operator <name>', 'who checked')
      .option('--note <text>', 'anything worth remembering')
      .option('--time <time>', 'when, as ISO 8601 writes it; default: now')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const options = { ...(await quantityFlags(call, OPTIONS)), ...(await readings(call)) } as ReleaseOptions;
    let logRefused = false;
    const status = await runOnRecipes(call, {
      single: true,
      render: renderRelease,
      compute: (recipe, loaded) => {
        const { result, findings } = release(recipe, options);
        if (result === null || typeof call.flags['log'] !== 'string') return { result, findings };
        const logged: { written: boolean; placed: readonly Diagnostic[] } = logRelease(call, loaded, result);
        logRefused = !logged.written;
        if (logRefused) return { result: null, findings, placed: logged.placed };
        return { result: { ...result, log: call.flags['log'] }, findings, placed: logged.placed };
      },
    });
    return logRefused ? EXIT.files : status;
  },
};

async function readings(call: Call): Promise<Pick<ReleaseOptions, 'dots' | 'masses' | 'shots'>> {
  const { dots, masses, shots } = call.flags as { dots?: string; masses?: string; shots: number };
  if ((dots === undefined) === (masses === undefined)) {
    throw new UsageError(`give ${dots === undefined ? '--dots or --masses' : 'one of --dots and --masses'}`);
  }
  refuseDecimalCommas(dots === undefined ? '--masses' : '--dots', (dots ?? masses)!);
  if (dots !== undefined) {
    if (call.flags['readability'] !== undefined)
      throw new UsageError('--readability is of a balance; dots have --reading-error');
    return { dots: await quantityList('--dots', dots, { kind: 'length', least: 'above zero' }), shots };
  }
  if (call.flags['readingError'] !== undefined)
    throw new UsageError('--reading-error is of dots; a balance has --readability');
  return { masses: await quantityList('--masses', masses!, { kind: 'mass', least: 'above zero' }), shots };
}
