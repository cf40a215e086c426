import { type Command, InvalidArgumentError } from 'commander';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { LoadCache } from '../../recipe/parts/load-cache.ts';
import type { Checked, CheckInput } from '../../report/check/check-input.ts';
import { distinctDiagnostics, distinctOfRecipes } from '../../report/check/distinct-diagnostics.ts';
import { styleOf } from '../../report/words/style.ts';
import { CATALOGUE } from '../../rules/catalogue.ts';
import { VERSION } from '../../version.ts';
import { FORMATS, type FormatName, isFormatName } from '../check/check-formats.ts';
import { checkedRecipe } from '../check/check-recipe.ts';
import { wholeNumber } from '../options/number-option.ts';
import { type FoundRecipes, findRecipes, isFolderOrPattern } from '../recipes/find-recipes.ts';
import { DEFAULT_LOCK, lockName } from '../recipes/lock-location.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import { addRecipeArguments, collect } from '../recipes/recipe-options.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import { sourceLines } from '../recipes/source-lines.ts';
import { addShardOption, shardOf } from '../shard/shard.ts';
import { writeShard } from '../shard/write-shard.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeText } from '../terminal/write-output.ts';

const HELP = `
Every error of every recipe is reported, with its place. Errors: the file is wrong, or the
job cannot be done as written. Warnings ask for a look; --max-warnings makes them count.
A recipe silences a finding with "silence: [{code: ..., reason: ...}]".

What --frozen and \`freeze\` compute they keep for the next time, for this user and this program alone, in
dwellbook/ below XDG_CACHE_HOME (default: ~/.cache), and never in the repository. --fresh does not read it.

Examples:
  $ dwellbook check                      every recipe in this folder and below
  $ dwellbook check line-2/ "line-3/*.yaml"
  $ dwellbook check --max-warnings 0 --report junit=check.xml
  $ dwellbook check --format github --report sarif=check.sarif
  $ dwellbook check --frozen             fails when results moved, the lock not
  $ dwellbook check --since origin/main  what this branch touched
  $ dwellbook check - < draft.yaml
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command, { optional: true })
      .option('--max-warnings <n>', 'end with 1 when there are more warnings than this', wholeNumber(0))
      .option('--format <format>', `how to say it: ${Object.keys(FORMATS).join(', ')}`, requireFormat)
      .option('--report <format=file>', 'write a report beside the text; repeatable', collect)
      .option('--frozen', 'also hold computed results to the lock file that `freeze` writes')
      .option('--lock <file>', `the lock of --frozen; default: ${DEFAULT_LOCK}, or that beside the recipes`)
      .option('--fresh', 'with --frozen: compute everything anew, whatever was computed before')
      .option('--workers <n>', 'threads for folders; default: one, and more where they pay', wholeNumber(1, 64))
      .option('--since <revision>', 'only recipes that changed since, or start from a part that did')
      .addHelpText('after', notes(HELP));
    addShardOption(command);
  },

  async run(call: Call): Promise<ExitStatus> {
    // What cannot be written is said before the work is done.
    for (const report of (call.flags['report'] as string[] | undefined) ?? []) parseReport(report);
    const paths = call.args.length === 0 ? ['.'] : call.args;
    const shard = shardOf(call);
    if (shard === null) return finish(call, await checkAll(call, paths));
    requireFrozenFlags(call);
    const { checkShardOf } = await import('../check/check-shards.ts');
    return writeShard(call, shard, await checkShardOf(call, shard, paths));
  },
};

/** The end of a call whose files were checked in shards. */
export async function finishCheck(call: Call, whole: unknown, pieces: readonly unknown[]): Promise<ExitStatus> {
  const { checkedOfShards } = await import('../check/check-shards.ts');
  const { checked, ofLock, ...found } = checkedOfShards(call, whole, pieces);
  const sourceLine = sourceLines(call.io.files, call.set);
  const all = checked.map(one => ({ ...one, sourceLine }));
  return finish(call, { ...found, checked: withLock(call, all, { ofLock, single: found.single }) });
}

async function finish(call: Call, { checked, ...found }: CheckedAll): Promise<ExitStatus> {
  const reports = ((call.flags['report'] as string[] | undefined) ?? []).map(parseReport);
  if (checked.length === 0) call.io.stderr(`no recipe was touched since ${call.flags['since']}\n`);
  // One recipe that was left out is no document of its own.
  const input = inputOf(call, { ...found, single: found.single && checked.length > 0 }, checked);
  await write(call, input, reports);
  return verdict(call, input.checked);
}

interface CheckedAll extends Pick<FoundRecipes, 'single' | 'leftOut'> {
  readonly checked: readonly Checked[];
}

/** Folders and patterns may hold thousands of files; what goes beyond the rules is done recipe by recipe. */
async function checkAll(call: Call, paths: readonly string[]): Promise<CheckedAll> {
  requireFrozenFlags(call);
  const alone = call.flags['since'] === undefined && call.flags['frozen'] !== true;
  if (alone && paths.every(path => isFolderOrPattern(path, call.io))) {
    const { checkFolders } = await import('../check/check-folders.ts');
    const { checked, leftOut } = await checkFolders(paths, call);
    const sourceLine = sourceLines(call.io.files, call.set);
    return { checked: checked.map(one => ({ ...one, sourceLine })), leftOut, single: false };
  }
  const found = await findRecipes(paths, call.io);
  return { ...found, checked: await checkEach(call, found) };
}

function requireFrozenFlags({ flags }: Call): void {
  if (flags['frozen'] === true) return;
  if (flags['lock'] !== undefined) throw new UsageError('--lock names the file of --frozen, which is not given');
  if (flags['fresh'] === true) throw new UsageError('--fresh is about the results of --frozen, which is not given');
}

/** Every recipe, or those that `--since` leaves; what is wrong with the lock file stands by itself, or with the only recipe. */
async function checkEach(call: Call, { recipes, single }: FoundRecipes): Promise<Checked[]> {
  const since = call.flags['since'];
  // Git and every analysis are only loaded when they are asked for.
  const touched =
    typeof since === 'string' ? (await import('../check/touched-since.ts')).touchedSince(call, since) : () => true;
  const frozen = call.flags['frozen'] === true ? (await import('../check/frozen-check.ts')).frozenCheck(call) : null;
  const checked: Checked[] = [];
  const options = { ...loadOptions(call), cache: new LoadCache() };
  const several = recipes.length > 1;
  for (const recipe of recipes) {
    const loaded = await recipe.load(options);
    if (!touched(loaded)) continue;
    const one = { ...checkedRecipe(loaded, several), sourceLine: sourceLines(recipe.files, call.set) };
    checked.push(withMore(one, frozen?.ofRecipe(loaded, several) ?? []));
  }
  return withLock(call, checked, { ofLock: frozen?.ofLock ?? [], single });
}

function withLock(
  call: Call,
  checked: Checked[],
  { ofLock, single }: { readonly ofLock: readonly Diagnostic[]; readonly single: boolean },
): Checked[] {
  if (ofLock.length === 0) return checked;
  const [only] = checked;
  return single && only !== undefined ? [withMore(only, ofLock)] : [...checked, lockAlone(call, ofLock)];
}

function withMore(checked: Checked, more: readonly Diagnostic[]): Checked {
  return more.length === 0
    ? checked
    : { ...checked, diagnostics: distinctDiagnostics([...checked.diagnostics, ...more]) };
}

function lockAlone(call: Call, diagnostics: readonly Diagnostic[]): Checked {
  const sourceLine = sourceLines(call.io.files);
  return { file: lockName(call), name: null, diagnostics, silenced: [], sourceLine, isLock: true };
}

function inputOf(
  call: Call,
  { single, leftOut }: Omit<CheckedAll, 'checked'>,
  checked: readonly Checked[],
): CheckInput {
  const places = pathFromRoot(call.io, call.root);
  return { checked, single, leftOut, view: call.view, codes: CATALOGUE, pathFromRoot: places, version: VERSION };
}

/** The text or `-o`, then the reports. A file has no colours, unless they are asked for. */
async function write(call: Call, input: CheckInput, reports: readonly Report[]): Promise<void> {
  const plain = call.flags['color'] === 'always' ? call.view : { ...call.view, style: styleOf(0), wraps: false };
  const format = call.format as FormatName;
  if (call.out === null) call.io.stdout(await FORMATS[format](input));
  else writeText(call.io, call.out, await FORMATS[format]({ ...input, view: plain }));
  for (const { format, file } of reports) {
    writeText(call.io, file, await FORMATS[format]({ ...input, view: plain }));
  }
}

function verdict(call: Call, checked: readonly Checked[]): ExitStatus {
  const all = distinctOfRecipes(checked, ({ diagnostics }) => diagnostics);
  const warnings = all.filter(({ severity }) => severity === 'warning').length;
  const most = (call.flags['maxWarnings'] as number | undefined) ?? Number.POSITIVE_INFINITY;
  if (warnings > most) call.io.stderr(`error: ${counted(warnings, 'warning')}, --max-warnings allows ${most}\n`);
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
