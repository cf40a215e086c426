import { relative, resolve } from 'node:path';
import type { Command } from 'commander';
import { entryOf } from '../../analysis/changes/frozen.ts';
import type { RecipeResult } from '../../analysis/changes/recipe-results.ts';
import { movedResults, type ResultChange } from '../../analysis/changes/result-changes.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../../recipe/format/load.ts';
import { type LockEntry, lockText, readLock } from '../../recipe/format/lock-file.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { type FreezeResult, renderFreeze } from '../../report/text/render-freeze.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { checkRecipe } from '../../rules/index.ts';
import { findRecipes, type RecipeInput } from '../recipes/find-recipes.ts';
import { computedAndKept, keptOrComputed } from '../recipes/kept-results.ts';
import { DEFAULT_LOCK, fileOfLock, lockName, lockPath, openLock, requireFiles } from '../recipes/lock-location.ts';
import { findingOfThrown } from '../recipes/one-of-several.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import { sourceLines } from '../recipes/source-lines.ts';
import { addShardOption, ownUnits, shardOf } from '../shard/shard.ts';
import { writeShard } from '../shard/write-shard.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeOutput } from '../terminal/write-output.ts';

const HELP = `
The lock file holds, for every recipe, its inputs as written, the versions of the models, and what follows:
window, bore shot, seat, the shot of its settings, setpoint, ramp with its end, dots. Commit it; a
change of a recipe, a part or a model then shows in the diff what it does to the settings.
Only the recipes named are frozen anew, the others stay as they are; a recipe with errors is not frozen.

What is computed is kept for the next time, as \`dwellbook check --help\` says. --fresh does not read it.

Examples:
  $ dwellbook freeze                       every recipe in this folder and below
  $ dwellbook freeze line-2/slim.yaml
  $ dwellbook freeze line-2/ --lock line-2/dwellbook.lock.yaml
  $ dwellbook freeze --prune               also forget recipes that are gone
  $ dwellbook check --frozen               in CI: fails when results moved
`;

export const command: CommandModule = {
  define(command: Command): void {
    addShardOption(command)
      .argument('[recipe...]', 'recipe files, folders or patterns; default: all in this folder and below')
      .option('--lock <file>', `the lock file; default: ${DEFAULT_LOCK}, or that beside the recipes`)
      .option('--fresh', 'compute everything anew, whatever was computed before')
      .option('--prune', 'remove entries whose recipe is gone')
      .option('--root <folder>', 'folder that `from` may not leave')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireFiles(call, 'freeze');
    const before = readEntries(call);
    if (before === null) return EXIT.unsound;
    const { recipes } = await findRecipes(call.args.length === 0 ? ['.'] : call.args, call.io);
    const resultsOf = call.flags['fresh'] === true ? computedAndKept(call) : keptOrComputed(call);
    const several = recipes.length > 1;
    const one = (recipe: RecipeInput) => frozenRecipe(call, recipe, { before, resultsOf, several });
    const shard = shardOf(call);
    if (shard !== null) {
      const units = recipes.map(({ file }) => file);
      const done: [number, FrozenInShard][] = [];
      for (const unit of ownUnits(units, shard)) {
        const { entry, ...rest } = await one(recipes[unit]!);
        done.push([unit, { ...rest, lock: entry === null ? null : lockText(new Map([[rest.path, entry]])) }]);
      }
      return writeShard(call, shard, { units, done, whole: { lock: lockName(call) } });
    }
    const frozen: FrozenRecipe[] = [];
    for (const recipe of recipes) frozen.push(await one(recipe));
    return finish(call, frozen);
  },
};

/** What became of one recipe. */
interface FrozenRecipe {
  /** As the lock file names it. */
  readonly path: string;
  readonly diagnostics: readonly Diagnostic[];
  /** Null where nothing was frozen. */
  readonly change: FreezeResult['frozen'][number] | null;
  readonly entry: LockEntry | null;
}

/** The same in a file: the entry as the text of a lock file that has no other. */
type FrozenInShard = Omit<FrozenRecipe, 'entry'> & { readonly lock: string | null };

async function frozenRecipe(
  call: Call,
  recipe: RecipeInput,
  p: {
    readonly before: ReadonlyMap<string, LockEntry>;
    readonly resultsOf: (loaded: LoadedRecipe) => readonly RecipeResult[];
    readonly several: boolean;
  },
): Promise<FrozenRecipe> {
  const loaded = await recipe.load(loadOptions(call));
  const path = lockPath(call, loaded.file);
  const nothing = (diagnostics: readonly Diagnostic[]) => ({ path, diagnostics, change: null, entry: null });
  if (loaded.recipe === null) return nothing(loaded.findings);
  try {
    const errors = unsound(loaded);
    if (errors.length > 0) return nothing([...loaded.findings, ...errors]);
    const { entry, ...change } = freeze(p.before.get(path), path, loaded, p.resultsOf(loaded));
    return { path, diagnostics: loaded.findings, change, entry };
  } catch (error) {
    return nothing([...loaded.findings, ...placeFindings(loaded, [findingOfThrown(error, p.several)])]);
  }
}

/** The end of a call whose recipes were frozen in shards. */
export async function finishFreeze(call: Call, whole: unknown, pieces: readonly unknown[]): Promise<ExitStatus> {
  const { lock } = whole as { lock: string };
  requireLock(call, lock);
  const recipes = (pieces as readonly FrozenInShard[]).map(({ lock, ...one }) => {
    const read = lock === null ? null : readLock(one.path, new TextEncoder().encode(lock));
    return { ...one, entry: read?.entries.get(one.path) ?? null };
  });
  return finish({ ...call, flags: { ...call.flags, lock } }, recipes);
}

/** The paths of the shards start at their lock file. One that stands elsewhere is written only where the user names it. */
function requireLock({ flags, io }: Call, lock: string): void {
  const named = flags['lock'] as string | undefined;
  const at = (path: string) => relative(io.currentFolder, resolve(io.currentFolder, path));
  if (named === undefined && at(lock).startsWith('..')) throw new UsageError(`name the lock file: --lock ${lock}`);
  if (named !== undefined && at(named) !== at(lock)) throw new UsageError(`the shards were frozen for --lock ${lock}`);
}

function finish(call: Call, recipes: readonly FrozenRecipe[]): ExitStatus {
  const fresh = new Map<string, LockEntry>();
  for (const { path, entry } of recipes) if (entry !== null) fresh.set(path, entry);
  const entries = update(call, fresh);
  if (entries === null) return EXIT.unsound;
  const named = new Set(recipes.map(({ path }) => path));
  const result: FreezeResult = {
    lock: lockName(call),
    frozen: recipes.flatMap(({ change }) => (change === null ? [] : [change])),
    kept: entries.paths.filter(path => !named.has(path)).length,
    pruned: entries.pruned,
  };
  const diagnostics = recipes.flatMap(one => one.diagnostics);
  report(call, result, diagnostics);
  return diagnostics.length > 0 ? EXIT.unsound : EXIT.done;
}

/** Errors that `check` finds: what is wrong is not to be held on to. The recipe keeps the entry that it had. */
function unsound(loaded: LoadedRecipe): readonly Diagnostic[] {
  const { findings } = checkRecipe(loaded.recipe!);
  return placeFindings(
    loaded,
    findings.filter(({ severity }) => severity === 'error'),
  );
}

/** Entries of the lock file, none where there is none; null where it cannot be read, which is then said. */
function readEntries(call: Call): ReadonlyMap<string, LockEntry> | null {
  const lock = openLock(call);
  if (lock === null || lock.findings.length === 0) return lock?.entries ?? new Map();
  call.io.stderr(renderDiagnostics(lock.findings, call.messages, sourceLines(call.io.files)));
  return null;
}

/** Puts new entries into the lock file as it is by now: another run may have frozen other recipes in the meantime. */
function update(
  call: Call,
  fresh: ReadonlyMap<string, LockEntry>,
): { readonly paths: readonly string[]; readonly pruned: string[] } | null {
  const changed = (): ReturnType<typeof update> => {
    const now = readEntries(call);
    if (now === null) return null;
    const entries = new Map([...now, ...fresh]);
    const pruned = call.flags['prune'] === true ? prune(call, entries) : [];
    if (fresh.size + pruned.length > 0) call.io.writeFile(lockName(call), lockText(entries), 'source');
    return { paths: [...entries.keys()], pruned };
  };
  const writes = fresh.size > 0 || call.flags['prune'] === true;
  return writes ? call.io.whileLocked(lockName(call), changed) : changed();
}

function freeze(
  before: LockEntry | undefined,
  path: string,
  loaded: LoadedRecipe,
  results: readonly RecipeResult[],
): FreezeResult['frozen'][number] & { readonly entry: LockEntry } {
  const recipe = loaded.recipe!;
  const entry = entryOf(loaded, results, before);
  const now = [...entry.results].map(([key, value]) => ({ key, value }));
  const moved: ResultChange[] = before === undefined ? [] : movedResults(before.results, now);
  return { recipe: path, name: recipe.name ?? null, state: stateOf(before, moved), moved, entry };
}

function stateOf(before: LockEntry | undefined, moved: readonly ResultChange[]): 'new' | 'moved' | 'same' {
  if (before === undefined) return 'new';
  return moved.length > 0 ? 'moved' : 'same';
}

function prune(call: Call, entries: Map<string, LockEntry>): string[] {
  const gone = [...entries.keys()].filter(path => call.io.kindOf(fileOfLock(call, path)) !== 'file');
  for (const path of gone) entries.delete(path);
  return gone;
}

/** `-o` names the report; the lock file has an option of its own. */
function report(call: Call, result: FreezeResult, diagnostics: readonly Diagnostic[]): void {
  if (call.format === 'json') {
    writeOutput(call, jsonText(resultDocument({ command: 'freeze', recipe: null, name: null, result, diagnostics })));
    return;
  }
  writeOutput(call, `${renderFreeze(result, call.view)}\n`);
  call.io.stderr(renderDiagnostics(diagnostics, call.messages, sourceLines(call.io.files, call.set)));
}
