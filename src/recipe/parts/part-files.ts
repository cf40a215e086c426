import { dirname, isAbsolute, join, normalize, relative, sep } from 'node:path';
import type { FileSystem } from './file-system.ts';
import type { LoadCache, PartFile } from './load-cache.ts';

/** Why a part cannot be used. */
export interface Refusal {
  readonly code: 'from-missing' | 'from-unreadable' | 'from-outside-root';
  readonly message: string;
  readonly help: string | null;
}

/** Reads the parts that `from` names, each once, and none outside the root. */
export class PartFiles {
  readonly names: string[] = [];
  private readonly seen = new Set<string>();

  constructor(
    private readonly fs: FileSystem,
    /** Absolute, links followed. */
    private readonly root: string,
    private readonly cache: LoadCache,
  ) {}

  /** The part at `reference`, relative to the folder of the file it stands in. */
  open(reference: string, beside: { readonly name: string; readonly real: string }): PartFile | Refusal {
    const path = isAbsolute(reference) ? normalize(reference) : join(dirname(beside.real), reference);
    const shown = `"${reference}"`;
    let real: string;
    try {
      real = this.cache.realPath(path, this.fs);
    } catch {
      // A missing file outside the root is not told from one that is there: nothing outside is looked at.
      if (!this.inside(path)) return this.outside(shown);
      return { code: 'from-missing', message: `there is no file ${shown}`, help: `looked in ${dirname(beside.name)}` };
    }
    if (!this.inside(real)) return this.outside(shown);
    try {
      const name = isAbsolute(reference) ? path : join(dirname(beside.name), reference).split(sep).join('/');
      const part = this.cache.part(name, real, this.fs);
      if (!this.seen.has(real)) {
        this.seen.add(real);
        this.names.push(name);
      }
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
