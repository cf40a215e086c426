import { MOST_BYTES, SourceFile } from '../yaml/source-file.ts';
import { TextBlocks } from '../yaml/text-blocks.ts';
import type { FileSystem } from './file-system.ts';
import { recipeRoot } from './recipe-root.ts';

/** A file that `from` names. */
export interface PartFile {
  readonly file: SourceFile;
  /** Absolute, links followed. */
  readonly real: string;
}

/** Bounds on what is kept; whoever has more parts reads some of them twice. */
const LIMITS = { parts: 500, paths: 5_000 };

/** Blocks that came out sound before, by their data and the key they stood under. */
export type SoundBlocks = WeakMap<object, Map<string, unknown>>;

/**
 * What loading one recipe has in common with loading the next, as long as no file changes: parts that were read and
 * parsed already, where paths lead, the roots of folders, and blocks that read the same in several recipes.
 */
export class LoadCache {
  private readonly parts = new Map<string, PartFile>();
  private readonly realPaths = new Map<string, string>();
  private readonly roots = new Map<string, string>();
  /** Of the recipes themselves. */
  readonly blocks = new TextBlocks();
  /** Of parts. */
  readonly sound: SoundBlocks = new WeakMap();

  /** The part in a file, which findings call `name`. Throws what the system throws. */
  part(name: string, real: string, fs: FileSystem): PartFile {
    return kept(this.parts, `${name}\0${real}`, LIMITS.parts, () => ({
      file: SourceFile.fromBytes(name, fs.readBytes(real, MOST_BYTES + 1)),
      real,
    }));
  }

  /** As the file system's. */
  realPath(path: string, fs: FileSystem): string {
    return kept(this.realPaths, path, LIMITS.paths, () => fs.realPath(path));
  }

  /** The recipe root of a folder. */
  root(folder: string, fs: FileSystem): string {
    return kept(this.roots, folder, LIMITS.paths, () => recipeRoot(folder, fs));
  }
}

function kept<T>(known: Map<string, T>, key: string, most: number, make: () => T): T {
  const before = known.get(key);
  if (before !== undefined) return before;
  const made = make();
  if (known.size >= most) known.clear();
  known.set(key, made);
  return made;
}
