import type { Command } from 'commander';
import { entryOf } from '../../analysis/changes/frozen.ts';
import type { RecipeResult } from '../../analysis/changes/recipe-results.ts';
import { movedResults, type ResultChange } from '../../analysis/changes/result-changes.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../../recipe/format/load.ts';
import { type LockEntry, lockText } from '../../recipe/format/lock-file.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { type FreezeResult, renderFreeze } from '../../report/text/render-freeze.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { checkRecipe } from '../../rules/index.ts';
import { findRecipes } from '../recipes/find-recipes.ts';
import { computedAndKept, keptOrComputed } from '../recipes/kept-results.ts';
import { DEFAULT_LOCK, fileOfLock, lockName, lockPath, openLock, requireFiles } from '../recipes/lock-location.ts';
import { findingOfThrown } from '../recipes/one-of-several.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import { sourceLines } from '../recipes/source-lines.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus } from '../terminal/exit-status.ts';
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
    command
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
    const fresh = new Map<string, LockEntry>();
    const { recipes } = await findRecipes(call.args.length === 0 ? ['.'] : call.args, call.io);
    const result: Mutable<FreezeResult> = { lock: lockName(call), frozen: [], kept: 0, pruned: [] };
    const diagnostics: Diagnostic[] = [];
    const resultsOf = call.flags['fresh'] === true ? computedAndKept(call) : keptOrComputed(call);
    const named = new Set<string>();
    for (const recipe of recipes) {
      const loaded = await recipe.load(loadOptions(call));
      const path = lockPath(call, loaded.file);
      named.add(path);
      diagnostics.push(...loaded.findings);
      if (loaded.recipe === null) continue;
      try {
        const errors = unsound(loaded);
        diagnostics.push(...errors);
        if (errors.length > 0) continue;
        const { entry, ...frozen } = freeze(before.get(path), path, loaded, resultsOf(loaded));
        fresh.set(path, entry);
        result.frozen.push(frozen);
      } catch (error) {
        diagnostics.push(...placeFindings(loaded, [findingOfThrown(error, recipes.length > 1)]));
      }
    }
    const entries = update(call, fresh);
    if (entries === null) return EXIT.unsound;
    result.pruned = entries.pruned;
    result.kept = entries.paths.filter(path => !named.has(path)).length;
    report(call, result, diagnostics);
    return diagnostics.length > 0 ? EXIT.unsound : EXIT.done;
  },
};

/** Errors that `check` finds: what is wrong is not to be held on to. The recipe keeps the entry that it had. */
function unsound(loaded: LoadedRecipe): readonly Diagnostic[] {
  const { findings } = checkRecipe(loaded.recipe!);
  return placeFindings(
    loaded,
    findings.filter(({ severity }) => severity === 'error'),
  );
}

type Mutable<T> = { -readonly [K in keyof T]: T[K] extends readonly (infer E)[] ? E[] : T[K] };

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
