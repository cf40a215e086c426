import { type Command, InvalidArgumentError, Option } from 'commander';
import { type Amount, type BatchOptions, type BatchResult, batch } from '../../analysis/batch/batch.ts';
import { pooledBatch } from '../../analysis/batch/pooled-batch.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { renderPooled } from '../../report/several/render-pooled.ts';
import { renderBatch } from '../../report/text/render-batch.ts';
import { parseQuantityLoading } from '../../units/parse-quantity-loading.ts';
import { clockTime, collectShift } from '../options/clock-option.ts';
import { wholeNumber } from '../options/number-option.ts';
import { flagName, quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnFamily } from '../recipes/run-on-family.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { batchCsv, pooledCsv } from '../write/batch-csv.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';

const HELP = `
A syringe serves until it is empty, or too old for the next connector: \`process.stop_at\`,
the end of the ramp, counts from mixing through every break. A kit is mixed within one shift,
in the time of \`process.mixing\`. The schedule wastes the least resin; where that means
waiting, the earliest finish stands beside it. A needle's life is counted in shots: two
a connector (bore shot and backfill), and its prime.

Examples:
  $ dwellbook batch line-2/slim.yaml --connectors 480
  $ dwellbook batch line-2/slim.yaml --connectors 480 \\
      --scrap "3 %" --kit "20 g" \\
      --mixing-loss "0.4 mL" --shift 08:00-12:00 --shift 12:30-16:30
  $ dwellbook batch line-2/slim.yaml --connectors 480 --ends-per-assembly 2 \\
      --needle-life 200 --stations 2 --start 08:00 -o timeline.pdf
  $ dwellbook batch line-2/slim.yaml --connectors 480 \\
      --kit-price 18 --syringe-price 0.9 \\
      --needle-price 0.4 --currency EUR -o schedule.csv

With --changeover the recipes are made one after the other, in their order, by one station, and
kits and syringes go on through it: one resin is one pot.

  $ dwellbook batch line-2/slim.yaml line-2/standard.yaml \\
      --connectors 20,32 --changeover "5 min" --shift 08:00-12:00

A mixed mass heats itself: never leave a large kit standing, fill the syringes at once.
Gloves, eye protection and ventilation as the safety data sheet says.
`;

const FORMATS = ['.pdf', '.svg', '.csv'];

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The batch:')
      .requiredOption(
        '--connectors <n>',
        'good connectors wanted; with --changeover a list, in the order of the recipes',
        countList,
      )
      .option('--ends-per-assembly <n>', 'connectors of one assembly; whole assemblies are made', wholeNumber(1))
      .option('--scrap <share>', 'share of the connectors started that turns out bad, such as 3%')
      .addOption(
        new Option('--prefer <what>', 'what the schedule is chosen for').choices(['waste', 'finish']).default('waste'),
      )
      .option('--changeover <quantity>', 'recipes of one resin share kits; time from one of them to the next')
      .optionsGroup('Material:')
      .option('--kit <quantity>', 'mixed mass or volume of a kit; default: what fills one syringe')
      .option('--mixing-loss <quantity>', 'what mixing leaves of every kit: volume, mass, or share in %')
      .option('--needle-life <shots>', 'shots per needle, or `syringe` (default): one needle per syringe', needleLife)
      .optionsGroup('Working time:')
      .option('--start <time>', 'when the batch begins; default: the first shift', clockTime)
      .option('--shift <from-to>', 'working hours of every day, repeatable; gaps are breaks', collectShift)
      .option('--stations <n>', 'stations side by side', wholeNumber(1))
      .optionsGroup('Prices:')
      .option('--kit-price <number>', 'of one kit', price)
      .option('--syringe-price <number>', 'of one syringe', price)
      .option('--needle-price <number>', 'of one needle', price)
      .option('--currency <text>', 'written beside the cost')
      .optionsGroup('Output:')
      .option('-o, --out <file>', 'also write the timeline (.pdf, .svg) or the schedule (.csv)')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    if (call.flags['changeover'] !== undefined) return runPooled(call);
    requireFormat(call.out);
    const options = await optionsOf(call);
    return runOnRecipes(call, {
      ownOutput: true,
      render: renderBatch,
      compute: async (recipe, loaded) => {
        const outcome = batch(recipe, options);
        const wrong = outcome.findings.filter(({ code, path }) => code === 'batch-option' && path === null);
        if (wrong.length > 0) throw new UsageError(wrong.map(({ message }) => message).join('\nerror: '));
        if (outcome.result !== null && call.out !== null) {
          call.io.writeFile(call.out, await fileOf(call.out, outcome.result, loaded));
        }
        return outcome;
      },
    });
  },
};

/** Options of a batch of one recipe that say nothing of several. */
const SINGLE_ONLY = ['endsPerAssembly', 'stations'] as const;

/** Several recipes that share kits and syringes. */
async function runPooled(call: Call): Promise<ExitStatus> {
  const { changeover } = await quantityFlags(call, { changeover: { kind: 'time', least: 'zero or above' } } as const);
  const counts = call.flags['connectors'] as number[];
  const odd = SINGLE_ONLY.filter(name => call.flags[name] !== undefined).map(name => `${flagName(name)} `);
  if (odd.length > 0 || call.flags['prefer'] === 'finish') {
    throw new UsageError(`${odd[0] ?? '--prefer finish '}is for a batch of one recipe, without --changeover`);
  }
  if (call.out !== null && !call.out.toLowerCase().endsWith('.csv')) {
    throw new UsageError(`-o ${call.out}: the name must end in .csv, with --changeover`);
  }
  const single = await optionsOf({ ...call, flags: { ...call.flags, connectors: [1] } });
  return runOnFamily(call, {
    tooFew: '--changeover is for two recipes and more',
    compute: members => {
      if (counts.length > 1 && counts.length !== members.length) {
        const wanted = `${members.length} recipes and ${counts.length} numbers`;
        throw new UsageError(`--connectors: ${wanted}; write one number for each, or one for all`);
      }
      const { result, findings } = pooledBatch(members, { ...single, connectors: counts, changeover: changeover! });
      const wrong = findings.flat().filter(({ code, path }) => code === 'batch-option' && path === null);
      if (wrong.length > 0) throw new UsageError(wrong.map(({ message }) => message).join('\nerror: '));
      if (result !== null && call.out !== null) call.io.writeFile(call.out, pooledCsv(result));
      return { result, findings };
    },
    render: renderPooled,
  });
}

/** Whole numbers from 1, separated by commas. */
function countList(text: string): number[] {
  return text.split(',').map(part => wholeNumber(1)(part.trim()));
}

function requireFormat(out: string | null): void {
  if (out === null || FORMATS.some(end => out.toLowerCase().endsWith(end))) return;
  throw new UsageError(`-o ${out}: the name must end in ${FORMATS.join(', ')}`);
}

async function fileOf(out: string, result: BatchResult, loaded: LoadedRecipe): Promise<string | Uint8Array> {
  if (out.toLowerCase().endsWith('.csv')) return batchCsv(result);
  if (out.toLowerCase().endsWith('.svg')) {
    const [{ batchDrawings, DAY_GAP }, { stackDrawings }, { svgText }] = await Promise.all([
      import('../../report/chart/batch-chart.ts'),
      import('../../report/chart/chart-block.ts'),
      import('../../report/chart/svg.ts'),
    ]);
    return svgText(stackDrawings(batchDrawings(result, sheetOrigin(loaded).name), DAY_GAP));
  }
  const { batchPdf } = await import('../../report/pdf/batch-sheet.ts');
  const { readFonts } = await import('../../files/fonts.ts');
  return batchPdf({ batch: result, ...sheetOrigin(loaded) }, readFonts());
}

async function optionsOf({ flags }: Pick<Call, 'flags'>): Promise<BatchOptions> {
  const given = flags as Omit<BatchOptions, 'connectors' | 'scrap' | 'kit' | 'mixingLoss' | 'shifts' | 'needleLife'> & {
    readonly connectors: readonly number[];
    readonly scrap?: string;
    readonly needleLife?: number | 'syringe';
    readonly kit?: string;
    readonly mixingLoss?: string;
    readonly shift?: BatchOptions['shifts'];
  };
  const loss = given.mixingLoss === undefined ? undefined : await lossOf(given.mixingLoss);
  const { endsPerAssembly, start, stations, prefer } = given;
  const [connectors = 1, ...more] = given.connectors;
  if (more.length > 0) throw new UsageError('--connectors: a list goes with --changeover; name one number');
  const { kitPrice, syringePrice, needlePrice, currency } = given;
  return {
    ...{ connectors, endsPerAssembly, start, stations, prefer },
    needleLife: given.needleLife === 'syringe' ? undefined : given.needleLife,
    ...{ kitPrice, syringePrice, needlePrice, currency },
    shifts: given.shift,
    scrap: given.scrap === undefined ? undefined : await shareOf('--scrap', given.scrap),
    kit: given.kit === undefined ? undefined : await amountOf('--kit', given.kit),
    mixingLoss: loss,
  };
}

async function shareOf(flag: string, text: string): Promise<number> {
  const parsed = await parseQuantityLoading(text, 'percentage');
  if (!parsed.ok) throw new UsageError(`${flag}: ${parsed.message}${parsed.help === null ? '' : `; ${parsed.help}`}`);
  return parsed.value;
}

async function lossOf(text: string): Promise<NonNullable<BatchOptions['mixingLoss']>> {
  if (text.includes('%')) return { kind: 'share', value: await shareOf('--mixing-loss', text) };
  return amountOf('--mixing-loss', text);
}

/** A mass or a volume, above zero. */
async function amountOf(flag: string, text: string): Promise<Amount> {
  const mass = await parseQuantityLoading(text, 'mass');
  const volume = mass.ok ? mass : await parseQuantityLoading(text, 'volume');
  const kind = mass.ok ? 'mass' : 'volume';
  if (!volume.ok)
    throw new UsageError(`${flag}: ${volume.message}; write a mass or a volume, such as "20 g" or "18 mL"`);
  if (volume.halfWidth !== null) throw new UsageError(`${flag}: "${text}" has a tolerance; give the value alone`);
  if (!(volume.value > 0)) throw new UsageError(`${flag}: "${text}" must be above zero`);
  return { kind, value: volume.value };
}

function needleLife(text: string): number | 'syringe' {
  return text === 'syringe' ? text : wholeNumber(1)(text);
}

function price(text: string): number {
  const value = Number(text);
  if (/^\d*\.?\d+$/.test(text) && Number.isFinite(value)) return value;
  throw new InvalidArgumentError('Write a plain number, zero or above; --currency takes the unit.');
}
