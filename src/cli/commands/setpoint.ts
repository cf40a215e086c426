import type { Command } from 'commander';
import { setpoint } from '../../analysis/setpoint/setpoint.ts';
import { renderSetpoint } from '../../report/text/render-setpoint.ts';
import { AGED_RESIN_OPTIONS, addAgedResinOptions, SETTING_OPTIONS } from '../options/condition-options.ts';
import { parseNeedles } from '../options/needles-option.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requireWritable, writeSettings } from '../write/write-settings.ts';

const HELP = `
Looks through every pressure step of the station for the dwell step that delivers the aim, and
chooses as an engineer would: a small error, a ramp that the station can hold, practical dwells,
a pressure away from the ends of the regulator, a spread near the least, a round pressure. It
says which of these decided. --write stores pressure, dwell and ramp. --needles compares needles side by side: a gauge, or
gauge and length (22x12.7mm); without a length it is the recipe's.

Examples:
  $ dwellbook setpoint line-2/slim.yaml
  $ dwellbook setpoint line-2/slim.yaml --dwell "0.5 s"
  $ dwellbook setpoint line-2/slim.yaml --needles 20,21,22x12.7mm
  $ dwellbook setpoint line-2/slim.yaml --write

Stay below the lowest pressure rating in the air line. Prove a setting on scrap connectors
before it is released.
`;

const OPTIONS = {
  ...SETTING_OPTIONS,
  ...AGED_RESIN_OPTIONS,
} as const;

export const command: CommandModule = {
  define(command: Command): void {
    addAgedResinOptions(
      addRecipeArguments(command)
        .optionsGroup('The setting:')
        .option('--pressure <quantity>', 'look at this pressure alone')
        .option('--dwell <quantity>', 'look for the pressure at this dwell')
        .option('--needles <list>', 'compare these needles, separated by commas'),
    )
      .option('--write', 'write pressure, dwell and ramp into `settings` of the recipe')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const list = call.flags['needles'];
    const needles = typeof list === 'string' ? await parseNeedles(list) : [];
    const options = { ...(await quantityFlags(call, OPTIONS)), needles };
    const write = call.flags['write'] === true;
    if (write) requireWritable(call);
    return runOnRecipes(call, {
      render: renderSetpoint,
      compute: (recipe, loaded) => {
        const { result, findings } = setpoint(recipe, options);
        const refused = write && result !== null ? writeSettings(call, loaded.file, recipe, result) : [];
        return { result, findings: [...findings, ...refused] };
      },
    });
  },
};
