import { dirname } from 'node:path';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import type { Path } from '../yaml/path.ts';
import type { Plain } from '../yaml/plain-data.ts';
import type { SourceFile } from '../yaml/source-file.ts';
import type { FileSystem } from './file-system.ts';
import type { LoadCache } from './load-cache.ts';
import { type Override, parseOverrides, withOverride } from './overrides.ts';
import { PartFiles } from './part-files.ts';
import { type Merged, PartResolver } from './resolve-parts.ts';

/** Data with every `from` followed and every override in place. */
export interface MergedRecipe extends Merged {
  readonly problems: readonly Diagnostic[];
  /** Blocks whose part could not be used. */
  readonly incomplete: readonly Path[];
  readonly parts: readonly string[];
}

/** A file without parts and overrides. */
export function asItStands(main: SourceFile): MergedRecipe {
  return { data: main.data, origin: { source: main, path: [] }, problems: [], incomplete: [], parts: [] };
}

/** The file with its parts and the overrides of the call; `settled` are data in which no `from` stands. */
export function merged(
  main: SourceFile,
  real: string,
  from: {
    fs: FileSystem;
    root: string | null;
    set: readonly string[];
    cache: LoadCache;
    settled: ReadonlySet<Plain>;
  },
): MergedRecipe {
  const { overrides, diagnostics } = parseOverrides(from.set);
  const problems = [...diagnostics];
  const apply = (before: Merged, override: Override): Merged => {
    const changed = withOverride(before, override);
    if (typeof changed !== 'string') return changed;
    const { at } = override;
    const help = 'name a path that the recipe has';
    problems.push({ code: 'override-invalid', severity: 'error', message: changed, ...at, path: null, help });
    return before;
  };
  const namesPart = (o: Override) => o.path.at(-1) === 'from';
  const parts = new PartFiles(from.fs, from.root ?? from.cache.root(dirname(real), from.fs), from.cache);
  const resolver = new PartResolver(parts, from.settled);
  const start = overrides.filter(namesPart).reduce(apply, asItStands(main));
  const unfolded = resolver.resolve(start, { file: main, real }, [], []);
  problems.push(...resolver.diagnostics);
  const { data, origin } = overrides.filter(o => !namesPart(o)).reduce(apply, unfolded);
  return { data, origin, problems, incomplete: resolver.incomplete, parts: parts.names };
}
