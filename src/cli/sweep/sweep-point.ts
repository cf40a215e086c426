import type { ResultValue } from '../../analysis/changes/recipe-results.ts';
import { type Taken, takeResults } from '../../analysis/changes/take-results.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import { type LoadedRecipe, loadRecipe, parseRecipe } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { LoadCache } from '../../recipe/parts/load-cache.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { toBeSaid } from '../../rules/silence.ts';
import { findingOfThrown } from '../recipes/one-of-several.ts';

/** What every point of a sweep has in common; plain data, so that it can be sent to a worker. */
export interface SweepBase {
  readonly file: string;
  /** The recipe itself where it came from standard input, and the folder its `from` starts in. */
  readonly text: Uint8Array | null;
  readonly folder: string;
  readonly root: string | undefined;
  /** Overrides of the call, before those of the grid. */
  readonly set: readonly string[];
  readonly take: readonly string[];
}

export interface PointOutcome {
  /** In the order of `take`. */
  readonly results: readonly ResultValue[];
  readonly unknown: readonly string[];
  /** Findings of the file and of the analyses, without those that are silenced. */
  readonly diagnostics: number;
  readonly failed: boolean;
}

/** Where points are loaded from, and what they have in common: files are read once, blocks without an override built once. */
export interface SweepFiles {
  readonly files: FileSystem;
  readonly cache: LoadCache;
}

/** The files of a system as a sweep reads them. */
export function sweepFiles(system: FileSystem): SweepFiles {
  const read = new Map<string, Uint8Array>();
  const readBytes = (path: string, most?: number): Uint8Array => {
    const known = read.get(path) ?? system.readBytes(path, most);
    read.set(path, known);
    return known;
  };
  return { files: { ...system, readBytes }, cache: new LoadCache() };
}

/** The recipe with a point of the grid in it. */
export function loadPoint(
  base: SweepBase,
  overrides: readonly string[],
  { files, cache }: SweepFiles,
): Promise<LoadedRecipe> {
  const options = {
    cache,
    set: [...base.set, ...overrides],
    ...(base.root === undefined ? {} : { root: base.root }),
  };
  return base.text === null
    ? loadRecipe(base.file, files, options)
    : parseRecipe(base.text, base.file, files, { ...options, folder: base.folder });
}

/** What a recipe gives at its point of the grid; a fault leaves that point empty, and is one of its findings. */
export function takenAtPoint(recipe: Recipe, take: readonly string[]): Taken {
  try {
    return takeResults(recipe, take);
  } catch (error) {
    return { values: take.map(() => null), unknown: [], failed: true, findings: [findingOfThrown(error, true)] };
  }
}

/** The results at a point; one that cannot be computed is null and does not stop the sweep. */
export async function sweepPoint(
  base: SweepBase,
  overrides: readonly string[],
  files: SweepFiles,
): Promise<PointOutcome> {
  const loaded = await loadPoint(base, overrides, files);
  if (loaded.recipe === null) {
    return { results: base.take.map(() => null), unknown: [], diagnostics: loaded.findings.length, failed: true };
  }
  const taken = takenAtPoint(loaded.recipe, base.take);
  const said = distinct(toBeSaid(loaded.recipe.silence, taken.findings));
  return { results: taken.values, unknown: taken.unknown, diagnostics: said.length, failed: taken.failed };
}
