import { resolve } from 'node:path';
import { noRecipe, requireAll, yamlFiles } from '../recipes/find-recipes.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import type { Call } from '../terminal/command.ts';
import { checkFiles } from './check-files.ts';
import type { CheckedData } from './check-recipe.ts';

export interface CheckedFolders {
  readonly checked: readonly CheckedData[];
  /** YAML files without a `recipe:` key. */
  readonly leftOut: readonly string[];
}

/**
 * What `check` says about the recipes of folders and patterns, in order, each once, no file being read before its turn.
 * Throws: CallFileError for a path that does not exist; UsageError when a folder or pattern has no recipe.
 */
export async function checkFolders(paths: readonly string[], call: Call): Promise<CheckedFolders> {
  requireAll(paths, call.io);
  const found: { path: string; files: string[] }[] = [];
  for (const path of paths) found.push({ path, files: await yamlFiles(path, call.io) });
  const keyOf = (file: string) => resolve(call.io.currentFolder, file);
  const once = new Map<string, string>();
  for (const file of found.flatMap(one => one.files)) if (!once.has(keyOf(file))) once.set(keyOf(file), file);
  const files = [...once.values()];
  const threads = (call.flags['workers'] as number | undefined) ?? null;
  const results = await checkFiles(files, call.io.files, loadOptions(call), threads);
  const byKey = new Map([...once.keys()].map((key, i) => [key, results[i] ?? null]));
  const leftOut: string[] = [];
  for (const { path, files: here } of found) {
    const parts = here.filter(file => byKey.get(keyOf(file)) === null);
    if (parts.length === here.length) throw noRecipe(path, here.length, call.io);
    leftOut.push(...parts);
  }
  return { checked: results.filter(result => result !== null), leftOut };
}
