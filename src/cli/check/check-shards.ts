import { resolve } from 'node:path';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { loadRecipe } from '../../recipe/format/load.ts';
import { LoadCache } from '../../recipe/parts/load-cache.ts';
import { MOST_BYTES } from '../../recipe/yaml/source-file.ts';
import { distinctDiagnostics } from '../../report/check/distinct-diagnostics.ts';
import { noRecipe, requireAll, withFile, yamlFiles } from '../recipes/find-recipes.ts';
import { hasRecipeKey } from '../recipes/has-recipe-key.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import { ownUnits, type Shard } from '../shard/shard.ts';
import type { DoneShare } from '../shard/write-shard.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { type CheckedData, checkedRecipe } from './check-recipe.ts';

/** What came of a file: what is said about it, that it is a part, or null where nothing touched it. */
type Piece = CheckedData | { readonly part: string } | null;

/** What all shards find alike. */
interface Whole {
  readonly found: readonly {
    readonly path: string;
    /** A file that is named counts as a recipe in any case. */
    readonly isFile: boolean;
    /** Numbers of the units. */
    readonly units: readonly number[];
  }[];
  readonly ofLock: readonly Diagnostic[];
}

/** What the shards say about all recipes of the call. */
export interface CheckedOfShards {
  readonly checked: readonly CheckedData[];
  readonly leftOut: readonly string[];
  readonly single: boolean;
  readonly ofLock: readonly Diagnostic[];
}

/**
 * A share of what `check` says about files, folders and patterns, no file but its own being read.
 * Throws: CallFileError for a path that does not exist.
 */
export async function checkShardOf(call: Call, shard: Shard, paths: readonly string[]): Promise<DoneShare> {
  if (paths.includes('-')) throw new UsageError('--shard shares out files; standard input is one');
  requireAll(paths, call.io);
  const files = new Map<string, string>();
  const named = new Set<string>();
  const listed: { path: string; isFile: boolean; keys: string[] }[] = [];
  for (const path of paths) {
    const isFile = call.io.kindOf(path) === 'file';
    const keys: string[] = [];
    for (const file of isFile ? [path] : await yamlFiles(path, call.io)) {
      const key = resolve(call.io.currentFolder, file);
      if (!files.has(key)) files.set(key, file);
      if (isFile) named.add(key);
      keys.push(key);
    }
    listed.push({ path, isFile, keys });
  }
  const places = new Map([...files.keys()].map((key, i) => [key, i]));
  const found = listed.map(({ keys, ...one }) => ({ ...one, units: keys.map(key => places.get(key)!) }));
  const units = [...files.values()];
  const keys = [...files.keys()];
  const { one, ofLock } = await checkerOf(call, units.length > 1);
  const done: [number, Piece][] = [];
  for (const unit of ownUnits(units, shard)) done.push([unit, await one(units[unit]!, named.has(keys[unit]!))]);
  return { units, done, whole: { found, ofLock } satisfies Whole };
}

/** Checks one file of the call, as its options say. */
async function checkerOf(call: Call, several: boolean) {
  const { since } = call.flags;
  const touched =
    typeof since === 'string' ? (await import('./touched-since.ts')).touchedSince(call, since) : () => true;
  const frozen = call.flags['frozen'] === true ? (await import('./frozen-check.ts')).frozenCheck(call) : null;
  const options = { ...loadOptions(call), cache: new LoadCache() };
  const one = async (file: string, isNamed: boolean): Promise<Piece> => {
    const bytes = call.io.files.readBytes(file, MOST_BYTES + 1);
    if (!(isNamed || hasRecipeKey(bytes))) return { part: file };
    const loaded = await loadRecipe(file, withFile(call.io.files, file, bytes), options);
    if (!touched(loaded)) return null;
    const checked = checkedRecipe(loaded, several);
    const more = frozen?.ofRecipe(loaded, several) ?? [];
    return { ...checked, diagnostics: distinctDiagnostics([...checked.diagnostics, ...more]) };
  };
  return { one, ofLock: frozen?.ofLock ?? [] };
}

/** Puts the shares together. Throws: UsageError when a folder or pattern has no recipe. */
export function checkedOfShards(call: Call, whole: unknown, pieces: readonly unknown[]): CheckedOfShards {
  const { found, ofLock } = whole as Whole;
  const all = pieces as readonly Piece[];
  const leftOut: string[] = [];
  for (const { path, isFile, units } of found) {
    if (isFile) continue;
    const parts = units.map(unit => all[unit]).filter(isPart);
    if (parts.length === units.length) throw noRecipe(path, units.length, call.io);
    leftOut.push(...parts.map(({ part }) => part));
  }
  const [first] = found;
  return {
    checked: all.filter(piece => piece !== null && !isPart(piece)) as CheckedData[],
    leftOut,
    single: found.length === 1 && first!.isFile,
    ofLock,
  };
}

function isPart(piece: Piece | undefined): piece is { readonly part: string } {
  return typeof piece === 'object' && piece !== null && 'part' in piece;
}
