import type { Command } from 'commander';
import { SPREAD_DEFAULTS, spread } from '../../analysis/rehearse/spread.ts';
import { renderSpread } from '../../report/text/render-spread.ts';
import { wholeNumber } from '../options/number-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import { addShardOption } from '../shard/shard.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { progressLine } from '../terminal/progress-line.ts';

const HELP = `
Takes every tolerance in the recipe, the accuracy of the pressure, the jitter of the dwell and the
limits of the needle table, and tells how the shot of \`settings\` (else of the setpoint) spreads, and
how its margin does, the shot less what its connector needs: to first order, and by Monte Carlo with
a fixed seed. A tolerance may
say \`per: shot | syringe | needle | lot | connector\`; what is the same for a syringe, needle or lot is
what \`release\` trims, and what is left then is rehearsed (see \`rehearse\`), with a syringe for every
hundred samples. \`correlations: [{between: [path, path], r: 0.6}]\` in the recipe
declares what goes together.

Examples:
  $ dwellbook spread line-2/slim.yaml
  $ dwellbook spread line-2/slim.yaml --samples 2000000 --seed 7
  $ dwellbook spread line-2/slim.yaml --set needle.bore="0.413 ± 0.004 mm"
  $ dwellbook spread line-2/ --json -o spreads.json
`;

const { samples, seed, fewest } = SPREAD_DEFAULTS;

/** A hundred times what tells the third digit of an interval; every sample is kept in memory. */
const MOST_SAMPLES = 10_000_000;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The Monte Carlo run:')
      .option(
        '--samples <n>',
        `default: ${samples.product} for Newtonian resins with ideal air, else ${samples.general}; ${samples.curve} where a curved flow model deviates, ${samples.air} where air is slow as well`,
        wholeNumber(fewest, MOST_SAMPLES),
      )
      .option('--seed <n>', `another seed, another sample; default: ${seed}`, wholeNumber(0))
      .addHelpText('after', notes(HELP));
    addShardOption(command);
  },

  async run(call: Call): Promise<ExitStatus> {
    const { samples, seed } = call.flags as { samples?: number; seed?: number };
    const options = { ...(samples !== undefined && { samples }), ...(seed !== undefined && { seed }) };
    return runOnRecipes(call, {
      compute: (recipe, loaded) => {
        const line = progressLine(call.io, loaded.file);
        const outcome = spread(recipe, { ...options, progress: line.show });
        line.clear();
        return outcome;
      },
      render: renderSpread,
    });
  },
};
