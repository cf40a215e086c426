import type { Command } from 'commander';
import { type FollowResult, follow } from '../../analysis/follow/follow.ts';
import { readLoggedChecks } from '../../data/logged-releases.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { mergeRepeated } from '../../diagnostics/repeated.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { followCharts } from '../../report/chart/follow-chart.ts';
import { renderFollow } from '../../report/text/render-follow.ts';
import { readDataText } from '../data/read-data.ts';
import { noteTaken } from '../data/run-on-data.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import { addRecipeOptions } from '../recipes/recipe-options.ts';
import { runOnRecipes, type WorkOutcome } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requirePictureName, writePicture } from '../write/write-picture.ts';

const HELP = `
Reads the check log of \`release\` and says what to do after its last check: keep the program,
set another, or stop. How thick the syringe is is filtered from check to check: what readings
say is weighed against what is known of the lot, the needle and the syringe, and against
\`process.drift\` for the time since. Nothing is set for an error below a quarter of the
tolerance or half a step of the dwell; a drift is corrected by 10 % at a time. What a release
would reject ends with status 1.

Examples:
  $ dwellbook follow checks.csv line-2/slim.yaml
  $ dwellbook follow checks.csv line-2/slim.yaml -o thickness.pdf

A correction is no proof: check the first shots after it as those of a fresh syringe, and keep
to the pressure rating of the air line, whatever a program asks for.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeOptions(command.argument('<checks>', 'check log, a CSV file').argument('<recipe>', 'recipe file'))
      .optionsGroup('The chart:')
      .option('-o, --out <file>', 'draw thickness and what was done: .svg or .pdf')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const [file = '', recipe = ''] = call.args;
    if (call.out !== null) requirePictureName(call.out);
    if (recipe === '-' && file === '-') throw new UsageError('only one of recipe and log can be standard input');
    const data = await readDataText(call.io, file);
    let stopped = false;
    const status = await runOnRecipes(call, {
      ...{ paths: [recipe], single: true, ownOutput: true, render: renderFollow },
      compute: async (r, loaded) => {
        if (data.text === null) return { result: null, findings: [], placed: data.diagnostics };
        const outcome = await followed(call, { file, text: data.text }, r, loaded);
        stopped = outcome.result?.action === 'stop';
        return outcome;
      },
    });
    return stopped ? EXIT.unsound : status;
  },
};

async function followed(
  call: Call,
  { file, text }: { file: string; text: string },
  recipe: Recipe,
  loaded: LoadedRecipe,
): Promise<WorkOutcome<FollowResult & { data: unknown }>> {
  const read = await readLoggedChecks(text, file, {
    path: pathFromRoot(call.io, call.root)(loaded.file),
    digest: loaded.digest,
  });
  noteTaken(call, file, read.taken);
  if (read.rows === null) return { result: null, findings: [], placed: mergeRepeated(read.diagnostics) };
  const { result, findings, lines } = follow(recipe, read.rows);
  const all = [...read.diagnostics, ...lines.map(({ line, finding }) => placed(finding, lineOf(file, line)))];
  if (result === null) return { result, findings, placed: mergeRepeated([...all, ...emptyFinding(file, all)]) };
  if (call.out !== null) {
    const draw = (measure?: Parameters<typeof followCharts>[2]) =>
      followCharts(result, recipe.name ?? loaded.file, measure);
    await writePicture(call.io, call.out, { title: `Thickness: ${recipe.name ?? loaded.file}`, made: file, draw });
  }
  const defaults = [
    ...(read.saysNeedles ? [] : ['needle: another one with each syringe, the log does not say']),
    ...result.defaults,
  ];
  return { result: { ...result, defaults, data: read.taken }, findings, placed: mergeRepeated(all) };
}

function emptyFinding(file: string, said: readonly Diagnostic[]): Diagnostic[] {
  if (said.some(({ severity }) => severity === 'error')) return [];
  const message = 'the log has no check of this recipe with readings, pressure and dwell';
  return [placed(floorFinding('follow-empty', null, message), lineOf(file, 1))];
}

const lineOf = (file: string, line: number) => ({ file, line, column: 1, end_line: line, end_column: 1 });
