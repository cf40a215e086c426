import type { Command } from 'commander';
import { shot } from '../../analysis/shot/shot.ts';
import { renderShot } from '../../report/text/render-shot.ts';
import { AGED_RESIN_OPTIONS, addAgedResinOptions, SETTING_OPTIONS } from '../options/condition-options.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
Pressure and dwell are those of \`settings\` unless given, the age is \`process.ready_after\`, and
the syringe is full.

Examples:
  $ dwellbook shot line-2/slim.yaml
  $ dwellbook shot line-2/slim.yaml --pressure "30 psi" --dwell "0.6 s"
  $ dwellbook shot line-2/slim.yaml --age "35 min" --temperature "75 degF"
  $ dwellbook shot line-2/slim.yaml --lot-factor 1.15 --json
  $ dwellbook shot line-2/paste.yaml --pause "10 min"

Stay below the lowest pressure rating in the air line. Prove a setting on scrap connectors.
`;

const OPTIONS = {
  ...SETTING_OPTIONS,
  ...AGED_RESIN_OPTIONS,
  dispensed: { kind: 'volume', least: 'zero or above' },
  pause: { kind: 'time', least: 'zero or above' },
} as const;

export const command: CommandModule = {
  define(command: Command): void {
    addAgedResinOptions(
      addRecipeArguments(command)
        .optionsGroup('The shot:')
        .option('--pressure <quantity>', 'air pressure, gauge')
        .option('--dwell <quantity>', 'how long air is on'),
    )
      .option('--dispensed <quantity>', 'volume that has left the syringe before this shot')
      .option('--pause <quantity>', 'first shot after such a rest, by `resin.rebuild` (rough)')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const options = await quantityFlags(call, OPTIONS);
    return runOnRecipes(call, { compute: recipe => shot(recipe, options), render: renderShot });
  },
};
