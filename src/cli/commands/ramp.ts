import { type Command, Option } from 'commander';
import { type DwellGrid, dwellGrid } from '../../analysis/ramp/dwell-grid.ts';
import { type RampOptions, type RampResult, ramp } from '../../analysis/ramp/ramp.ts';
import { renderRamp, withGrid } from '../../report/text/render-ramp.ts';
import { clockTime } from '../options/clock-option.ts';
import { addResinOptions, RESIN_OPTIONS } from '../options/condition-options.ts';
import { quantityFlags, quantityOf } from '../options/quantity-option.ts';
import { temperatureList } from '../options/temperature-list.ts';
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
  $ dwellbook ramp line-2/slim.yaml --mixed 07:30

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
        .option('--grid', 'add the dwell by temperature and age')
        .option('--grid-temperatures <list>', 'of that table: "18, 20, 22 degC"; implies --grid')
        .option('--pause <time@shot>', 'a pause of that time after that shot; repeatable', collect)
        .option('--mixed <time>', 'mixed at that time of the day: by `process.room`', clockTime),
    ).addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const pauses = await Promise.all(((call.flags['pause'] as string[] | undefined) ?? []).map(parsePause));
    const by = call.flags['by'] as RampOptions['by'];
    const options: RampOptions = {
      ...(await quantityFlags(call, RESIN_OPTIONS)),
      ...(by !== undefined && { by }),
      pauses,
      ...(call.flags['mixed'] !== undefined && { mixedAt: call.flags['mixed'] as number }),
    };
    if (options.mixedAt !== undefined && options.temperature !== undefined) {
      throw new UsageError('--mixed takes the temperature from `process.room`; leave out --temperature');
    }
    const temperatures = await temperatureList(call);
    const asked = call.flags['grid'] === true || temperatures !== undefined;
    if (asked && by === 'pressure') throw new UsageError('--grid is of dwells; leave out --by pressure');
    return runOnRecipes<RampResult & { readonly grid?: DwellGrid | null }>(call, {
      ownOutput: true,
      render: (result, view, recipe) => withGrid(renderRamp(result, view, recipe), result.grid, view),
      compute: recipe => {
        const { result, findings } = ramp(recipe, options);
        if (result !== null && call.out !== null) call.io.writeFile(call.out, rampCsv(result));
        if (result === null || !asked) return { result, findings };
        const pressure = result.pressure_kPa === null ? null : result.pressure_kPa * 1e3;
        const grid = pressure === null ? null : dwellGrid(recipe, { pressure, temperatures });
        return { result: { ...result, grid }, findings };
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
