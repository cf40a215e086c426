import { type Command, InvalidArgumentError } from 'commander';
import type { LoadedRecipe } from '../../recipe/load.ts';
import type { Checked } from '../../report/check-input.ts';
import { runRules } from '../../rules/index.ts';
import { FORMATS, type FormatName, isFormatName } from '../check-formats.ts';
import type { Call, CommandModule } from '../command.ts';
import { EXIT, type ExitStatus, UsageError } from '../exit-status.ts';
import { findRecipes } from '../find-recipes.ts';
import { notes } from '../help-notes.ts';
import { wholeNumber } from '../number-option.ts';
import { addRecipeArguments, collect } from '../recipe-options.ts';
import { allDiagnostics, loadOptions } from '../run-on-recipes.ts';
import { sourceLines } from '../source-lines.ts';

const HELP = `
Every error of every recipe is reported, with its place. Errors: the file is wrong, or the
job cannot be done as written. Warnings ask for a look; --max-warnings makes them count.

Examples:
  $ dwellbook check                        every recipe in this folder and below
  $ dwellbook check line-2/ "line-3/*.yaml"
  $ dwellbook check --max-warnings 0 --report json=check.json
  $ dwellbook check - < draft.yaml
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command, { optional: true })
      .option('--max-warnings <n>', 'end with 1 when there are more warnings than this', wholeNumber(0))
      .option('--format <format>', `how to say it: ${Object.keys(FORMATS).join(', ')}`, requireFormat)
      .option('--report <format=file>', 'write a report beside the text; repeatable', collect)
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const reports = ((call.flags['report'] as string[] | undefined) ?? []).map(parseReport);
    const { recipes, single, leftOut } = await findRecipes(call.args.length === 0 ? ['.'] : call.args, call.io);
    const checked: Checked[] = [];
    for (const recipe of recipes) {
      const loaded = await recipe.load(loadOptions(call));
      checked.push({ ...checkOne(loaded), sourceLine: sourceLines(recipe.files) });
    }
    const input = { checked, single, leftOut, view: call.view };
    const text = await FORMATS[call.format as FormatName](input);
    if (call.out === null) call.io.stdout(text);
    else call.io.writeFile(call.out, text);
    for (const { format, file } of reports) call.io.writeFile(file, await FORMATS[format](input));
    return isSound(checked, call.flags['maxWarnings'] as number | undefined) ? EXIT.done : EXIT.unsound;
  },
};

function checkOne(loaded: LoadedRecipe): Omit<Checked, 'sourceLine'> {
  const findings = loaded.recipe === null ? [] : runRules(loaded.recipe);
  return {
    file: loaded.file,
    name: loaded.recipe?.name ?? null,
    diagnostics: allDiagnostics(loaded, { result: true, findings }),
  };
}

function isSound(checked: readonly Checked[], maxWarnings: number | undefined): boolean {
  const all = checked.flatMap(({ diagnostics }) => diagnostics);
  const warnings = all.filter(({ severity }) => severity === 'warning').length;
  return warnings === all.length && warnings <= (maxWarnings ?? Number.POSITIVE_INFINITY);
}

function requireFormat(text: string): string {
  if (!isFormatName(text)) throw new InvalidArgumentError(`Formats: ${Object.keys(FORMATS).join(', ')}.`);
  return text;
}

function parseReport(text: string): { format: FormatName; file: string } {
  const at = text.indexOf('=');
  const format = text.slice(0, Math.max(at, 0));
  const file = text.slice(at + 1);
  if (at < 0 || file === '') throw new UsageError(`--report ${text}: write FORMAT=FILE, such as json=check.json`);
  if (!isFormatName(format)) {
    throw new UsageError(`--report ${text}: "${format}" is no format; ${Object.keys(FORMATS).join(', ')} are`);
  }
  return { format, file };
}
