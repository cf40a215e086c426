import { type Command, InvalidArgumentError } from 'commander';
import type { Checked, CheckInput } from '../../report/check-input.ts';
import { styleOf } from '../../report/style.ts';
import { CATALOGUE } from '../../rules/catalogue.ts';
import { VERSION } from '../../version.ts';
import { FORMATS, type FormatName, isFormatName } from '../check-formats.ts';
import { checkedRecipe } from '../check-recipe.ts';
import type { Call, CommandModule } from '../command.ts';
import { EXIT, type ExitStatus, UsageError } from '../exit-status.ts';
import { type FoundRecipes, findRecipes } from '../find-recipes.ts';
import { notes } from '../help-notes.ts';
import { wholeNumber } from '../number-option.ts';
import { pathFromRoot } from '../path-from-root.ts';
import { addRecipeArguments, collect } from '../recipe-options.ts';
import { loadOptions } from '../run-on-recipes.ts';

const HELP = `
Every error of every recipe is reported, with its place. Errors: the file is wrong, or the
job cannot be done as written. Warnings ask for a look; --max-warnings makes them count.
A recipe silences a finding with "silence: [{code: ..., reason: ...}]".

Examples:
  $ dwellbook check                        every recipe in this folder and below
  $ dwellbook check line-2/ "line-3/*.yaml"
  $ dwellbook check --max-warnings 0 --report junit=check.xml
  $ dwellbook check --format github --report sarif=check.sarif
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
    const found = await findRecipes(call.args.length === 0 ? ['.'] : call.args, call.io);
    const input = inputOf(call, found, await checkAll(call, found));
    await write(call, input, reports);
    return verdict(call, input.checked);
  },
};

async function checkAll(call: Call, { recipes }: FoundRecipes): Promise<Checked[]> {
  const checked: Checked[] = [];
  for (const recipe of recipes) checked.push(checkedRecipe(await recipe.load(loadOptions(call)), recipe.files));
  return checked;
}

function inputOf(call: Call, { single, leftOut }: FoundRecipes, checked: readonly Checked[]): CheckInput {
  const places = pathFromRoot(call.io, call.root);
  return { checked, single, leftOut, view: call.view, codes: CATALOGUE, pathFromRoot: places, version: VERSION };
}

/** The text or `-o`, then the reports. A file has no colours, unless they are asked for. */
async function write(call: Call, input: CheckInput, reports: readonly Report[]): Promise<void> {
  const plain = call.flags['color'] === 'always' ? call.view : { ...call.view, style: styleOf(0) };
  const format = call.format as FormatName;
  if (call.out === null) call.io.stdout(await FORMATS[format](input));
  else call.io.writeFile(call.out, await FORMATS[format]({ ...input, view: plain }));
  for (const { format, file } of reports) {
    call.io.writeFile(file, await FORMATS[format]({ ...input, view: plain }));
  }
}

function verdict(call: Call, checked: readonly Checked[]): ExitStatus {
  const all = checked.flatMap(({ diagnostics }) => diagnostics);
  const warnings = all.filter(({ severity }) => severity === 'warning').length;
  const most = (call.flags['maxWarnings'] as number | undefined) ?? Number.POSITIVE_INFINITY;
  if (warnings > most)
    call.io.stderr(`error: ${warnings} ${warnings === 1 ? 'warning' : 'warnings'}, --max-warnings allows ${most}\n`);
  return warnings === all.length && warnings <= most ? EXIT.done : EXIT.unsound;
}

function requireFormat(text: string): string {
  if (!isFormatName(text)) throw new InvalidArgumentError(`Formats: ${Object.keys(FORMATS).join(', ')}.`);
  return text;
}

interface Report {
  readonly format: FormatName;
  readonly file: string;
}

function parseReport(text: string): Report {
  const at = text.indexOf('=');
  const format = text.slice(0, Math.max(at, 0));
  const file = text.slice(at + 1);
  if (at < 0 || file === '') throw new UsageError(`--report ${text}: write FORMAT=FILE, such as junit=check.xml`);
  if (!isFormatName(format)) {
    throw new UsageError(`--report ${text}: "${format}" is no format; ${Object.keys(FORMATS).join(', ')} are`);
  }
  return { format, file };
}
