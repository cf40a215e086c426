import type { Command } from 'commander';
import type { RehearsalPart } from '../../analysis/rehearse/rehearsal.ts';
import {
  REHEARSE_DEFAULTS,
  type RehearseFacts,
  type RehearseResult,
  type RehearseShare,
  rehearse,
  rehearsed,
  rehearseShare,
} from '../../analysis/rehearse/rehearse.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { renderRehearse } from '../../report/text/render-rehearse.ts';
import { type ResultDocument, resultDocument } from '../../report/words/document.ts';
import { wholeNumber } from '../options/number-option.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { findRecipes } from '../recipes/find-recipes.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { documentOf, loadOptions, runOnRecipes } from '../recipes/run-on-recipes.ts';
import { finishDocuments } from '../shard/finish-documents.ts';
import { addShardOption, ownUnits, type Shard, shardOf } from '../shard/shard.ts';
import { writeShard } from '../shard/write-shard.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { progressLine } from '../terminal/progress-line.ts';

const HELP = `
Draws lots, needles, syringes, connectors, temperatures and jitter from the tolerances of the recipe.
Every syringe is primed, checked at the first shot with readings as they come about, released or not
as \`release\` decides, trimmed, and run by its program to its end. Told are the connectors outside
their window, how often a syringe is rejected or trimmed, how often that is wrong, and what makes the
margin spread. Temperatures are not measured.

Every syringe has a lot and a needle of its own, or shares them: with --per-lot and --per-needle the
syringes of a lot run one after the other, and the drift of the process goes on from one to the next.
--follow counts the checks before of the same lot or needle, as \`release --log\` does; the same call
without it, and with the same --per-lot, shows what that is worth.

Examples:
  $ dwellbook rehearse line-2/slim.yaml
  $ dwellbook rehearse line-2/slim.yaml --dots 3 --shots 4 --samples 20000
  $ dwellbook rehearse line-2/slim.yaml --masses 3 --readability "0.01 mg"
  $ dwellbook rehearse line-2/slim.yaml --follow --per-lot 20
  $ dwellbook rehearse line-2/slim.yaml --set "needle.bore=0.41 ± 0.01 mm"

A rehearsal proves nothing by itself: prove the setting on scrap connectors, and look at the first
connectors of every syringe.
`;

const OPTIONS = {
  readability: { kind: 'mass', least: 'above zero' },
  readingError: { kind: 'length', least: 'above zero' },
} as const;

const { readings, samples, seed, fewest, followed } = REHEARSE_DEFAULTS;
const MOST_READINGS = 50;
/** A minute of the quickest recipe. */
const MOST_SAMPLES = 100_000;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('How a syringe is checked:')
      .option('--dots <n>', `so many dots; default: ${readings}`, wholeNumber(1, MOST_READINGS))
      .option('--masses <n>', 'so many weighings in place of dots', wholeNumber(1, MOST_READINGS))
      .option(
        '--shots <n>',
        "shots on one dot, default as the recipe's gauge has; or in one weighing, default 1",
        wholeNumber(1, 1000),
      )
      .option('--reading-error <quantity>', 'half-width of a misread diameter; default: the recipe')
      .option('--readability <quantity>', 'smallest step of the balance; default: 0.1 mg')
      .optionsGroup('What syringes share:')
      .option('--follow', 'checks before of the same lot or needle count, as in `release --log`')
      .option(
        '--per-lot <n>',
        `syringes of one lot; default: 1, with --follow ${followed}`,
        wholeNumber(1, MOST_SAMPLES),
      )
      .option('--per-needle <n>', 'syringes through one needle; default: 1', wholeNumber(1, MOST_SAMPLES))
      .optionsGroup('The simulation:')
      .option(
        '--samples <n>',
        `syringes; default: ${samples.product} for Newtonian resins with ideal air, ${samples.general} where one of them is not so, else ${samples.slow}`,
        wholeNumber(fewest, MOST_SAMPLES),
      )
      .option('--seed <n>', `another seed, another sample; default: ${seed}`, wholeNumber(0))
      .addHelpText('after', notes(HELP));
    addShardOption(command);
  },

  async run(call: Call): Promise<ExitStatus> {
    const options = { ...(await quantityFlags(call, OPTIONS)), ...counts(call) };
    const withProgress = <T>(file: string, work: (progress: (share: number) => void) => T): T => {
      const line = progressLine(call.io, file);
      const outcome = work(line.show);
      line.clear();
      return outcome;
    };
    const shard = shardOf(call);
    const [file] = call.args;
    if (shard !== null && call.args.length === 1 && call.io.kindOf(file!) === 'file') {
      return shareOfOne(call, shard, (recipe, own) =>
        withProgress(file!, progress => rehearseShare(recipe, { ...options, progress }, own)),
      );
    }
    return runOnRecipes(call, {
      compute: (recipe, loaded) => withProgress(loaded.file, progress => rehearse(recipe, { ...options, progress })),
      render: renderRehearse,
    });
  },
};

/** One recipe is shared out by blocks of its syringes, several are recipe by recipe. */
async function shareOfOne(
  call: Call,
  shard: Shard,
  compute: (recipe: Recipe, own: (blocks: number) => readonly number[]) => Outcome<RehearseShare>,
): Promise<ExitStatus> {
  const { recipes } = await findRecipes(call.args, call.io);
  const loaded = await recipes[0]!.load(loadOptions(call));
  const own = (blocks: number) => ownUnits(unitsOf(blocks), shard);
  const document = await documentOf(call, { compute: recipe => compute(recipe, own) }, loaded, false);
  const { result, ...head } = document;
  if (result === null) return writeShard(call, shard, { units: [], done: [], whole: { failed: document } });
  const { facts, blocks, parts } = result;
  return writeShard(call, shard, { units: unitsOf(blocks), done: parts, whole: { head, facts } });
}

function unitsOf(blocks: number): string[] {
  return Array.from({ length: blocks }, (_, block) => String(block));
}

/** The end of a call whose syringes, or recipes, were rehearsed in shards. */
export async function finishRehearse(call: Call, whole: unknown, pieces: readonly unknown[]): Promise<ExitStatus> {
  const { failed, head, facts } = whole as {
    failed?: ResultDocument<null>;
    head?: Omit<ResultDocument<RehearseResult>, 'result'>;
    facts?: RehearseFacts;
  };
  if (failed !== undefined) return finishDocuments(call, { single: true }, [failed]);
  if (head === undefined || facts === undefined) return finishDocuments(call, whole, pieces);
  const result = rehearsed(facts, pieces as readonly RehearsalPart[]);
  return finishDocuments(call, { single: true }, [resultDocument({ ...head, result })]);
}

const COUNTS = ['dots', 'masses', 'shots', 'samples', 'seed', 'perLot', 'perNeedle'] as const;

function counts({ flags }: Call): Partial<Record<(typeof COUNTS)[number], number>> & { follow: boolean } {
  const [perLot, perNeedle] = [flags['perLot'] as number | undefined, flags['perNeedle'] as number | undefined];
  if (perNeedle !== undefined && perLot !== undefined && perNeedle > perLot)
    throw new UsageError(`--per-needle ${perNeedle} is more than --per-lot ${perLot}: another lot has another needle`);
  if (flags['follow'] === true && perLot === 1)
    throw new UsageError('--follow needs syringes that share something: --per-lot above 1');
  if (flags['dots'] !== undefined && flags['masses'] !== undefined)
    throw new UsageError('give one of --dots and --masses');
  const byMass = flags['masses'] !== undefined;
  if (byMass && flags['readingError'] !== undefined)
    throw new UsageError('--reading-error is of dots; a balance has --readability');
  if (!byMass && flags['readability'] !== undefined)
    throw new UsageError('--readability is of a balance; dots have --reading-error');
  const given = COUNTS.filter(name => flags[name] !== undefined);
  return { follow: flags['follow'] === true, ...Object.fromEntries(given.map(name => [name, flags[name] as number])) };
}
