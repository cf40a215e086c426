import { dirname, isAbsolute, join, normalize, relative, sep } from 'node:path';
import type { FileSystem } from './file-system.ts';
import { SourceFile } from './source-file.ts';

/** Why a part cannot be used. */
export interface Refusal {
  readonly code: 'from-missing' | 'from-unreadable' | 'from-outside-root';
  readonly message: string;
  readonly help: string | null;
}

export interface PartFile {
  readonly file: SourceFile;
  /** Absolute, links followed. */
  readonly real: string;
}

/** Reads the parts that `from` names, each once, and none outside the root. */
export class PartFiles {
  private readonly byRealPath = new Map<string, PartFile>();
  readonly names: string[] = [];

  constructor(
    private readonly fs: FileSystem,
    /** Absolute, links followed. */
    private readonly root: string,
  ) {}

  /** The part at `reference`, relative to the folder of the file it stands in. */
  open(reference: string, beside: { readonly name: string; readonly real: string }): PartFile | Refusal {
    const path = isAbsolute(reference) ? normalize(reference) : join(dirname(beside.real), reference);
    const shown = `"${reference}"`;
    let real: string;
    try {
      real = this.fs.realPath(path);
    } catch {
      // A missing file outside the root is not told from one that is there: nothing outside is looked at.
      if (!this.inside(path)) return this.outside(shown);
      return { code: 'from-missing', message: `there is no file ${shown}`, help: `looked in ${dirname(beside.name)}` };
    }
    if (!this.inside(real)) return this.outside(shown);
    const known = this.byRealPath.get(real);
    if (known !== undefined) return known;
    try {
      const name = isAbsolute(reference) ? path : join(dirname(beside.name), reference).split(sep).join('/');
      const part = { file: SourceFile.fromBytes(name, this.fs.readBytes(real)), real };
      this.byRealPath.set(real, part);
      this.names.push(name);
      return part;
    } catch {
      return { code: 'from-unreadable', message: `${shown} cannot be read`, help: 'name a file that may be read' };
    }
  }

  private inside(path: string): boolean {
    const way = relative(this.root, path);
    return way !== '..' && !way.startsWith(`..${sep}`) && !isAbsolute(way);
  }

  private outside(shown: string): Refusal {
    return {
      code: 'from-outside-root',
      message: `${shown} lies outside the recipe root`,
      help: 'the root is the nearest folder above with a .git, or --root',
    };
  }
}

/** The nearest folder at or above that holds a `.git`; the folder itself where there is none. */
export function recipeRoot(folder: string, fs: FileSystem): string {
  for (let at = folder; ; at = dirname(at)) {
    if (fs.exists(join(at, '.git'))) return at;
    if (dirname(at) === at) return folder;
  }
}
