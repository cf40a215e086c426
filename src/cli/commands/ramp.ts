import { type Command, Option } from 'commander';
import { type RampOptions, ramp } from '../../analysis/ramp/ramp.ts';
import { renderRamp } from '../../report/text/render-ramp.ts';
import { addResinOptions, RESIN_OPTIONS } from '../options/condition-options.ts';
import { quantityFlags, quantityOf } from '../options/quantity-option.ts';
import { addRecipeArguments, collect } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { rampCsv } from '../write/ramp-csv.ts';

const HELP = `
The pressure is \`settings.pressure\`, or the setpoint's. --pause says that work rests after a
shot: age goes on, the count of shots does not.

Examples:
  $ dwellbook ramp line-2/slim.yaml
  $ dwellbook ramp line-2/slim.yaml -o shots.csv
  $ dwellbook ramp line-2/slim.yaml --pause 15min@40 --pause 30min@80
  $ dwellbook ramp line-2/slim.yaml --by pressure

A mixed mass heats itself and thickens faster than a thin layer: stop when the resin strings or
the dots shrink, whatever the program says.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addResinOptions(
      addRecipeArguments(command)
        .optionsGroup('The ramp:')
        .option('-o, --out <file>', 'also write every shot to this CSV file')
        .addOption(new Option('--by <what>', 'what grows').choices(['dwell', 'pressure']).default('dwell'))
        .option('--pause <time@shot>', 'a pause of that time after that shot; repeatable', collect),
    ).addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const pauses = await Promise.all(((call.flags['pause'] as string[] | undefined) ?? []).map(parsePause));
    const by = call.flags['by'] as RampOptions['by'];
    const options: RampOptions = {
      ...(await quantityFlags(call, RESIN_OPTIONS)),
      ...(by !== undefined && { by }),
      pauses,
    };
    return runOnRecipes(call, {
      ownOutput: true,
      render: renderRamp,
      compute: recipe => {
        const outcome = ramp(recipe, options);
        if (outcome.result !== null && call.out !== null) call.io.writeFile(call.out, rampCsv(outcome.result));
        return outcome;
      },
    });
  },
};

async function parsePause(text: string): Promise<{ duration: number; afterShot: number }> {
  const [, time = '', shot = ''] = /^(.+)@(\d+)$/.exec(text.trim()) ?? [];
  const afterShot = Number(shot);
  if (time === '' || afterShot < 1) throw new UsageError(`--pause ${text}: write TIME@SHOT, such as 15min@40`);
  return { duration: await quantityOf('--pause', time, { kind: 'time', least: 'above zero' }), afterShot };
}
