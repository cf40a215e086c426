import { realpathSync } from 'node:fs';
import { join, posix, relative, resolve, sep } from 'node:path';
import type { FileSystem } from '../recipe/parts/file-system.ts';
import { GitError, git, gitCommit, gitTop } from './git.ts';
import { gitTree, type TreeEntry } from './git-tree.ts';

/** The files of a commit, read from the repository's own store: nothing is checked out, nothing is written. */
export interface GitFileSystem extends FileSystem {
  /** Full id of the commit. */
  readonly commit: string;
  /** Top folder of the repository. */
  readonly top: string;
  /** Every file, from the top, with slashes, in code-unit order; links too. */
  readonly paths: readonly string[];
  /** Id of the content of a file, links followed: equal for equal bytes. Null where there is no such file. */
  contentId(path: string): string | null;
}

/** Links in links, as the system bounds them too. */
const MOST_LINKS = 40;

/**
 * The files of a revision as if they stood where the work tree stands; relative paths start at `folder`. All YAML files
 * are read at once, when the first is asked for, since every call of git costs as much as hundreds of them.
 * Throws: GitError.
 */
export function gitFileSystem(folder: string, revision: string): GitFileSystem {
  const top = gitTop(folder);
  const commit = gitCommit(top, revision);
  // A submodule is a repository of its own, and left out.
  const entries = new Map([...gitTree(top, commit)].filter(([, { kind }]) => kind !== 'submodule'));
  const folders = foldersOf(entries.keys());
  const content = new BlobStore(top, entries, revision);
  const start = realpathSync(folder);
  const within = (path: string) => relative(top, resolve(start, path)).split(sep).join('/');

  /** The name below the top that a path ends at, or null; `''` is the top itself. */
  const followed = (name: string, depth = 0): string | null => {
    if (name === '..' || name.startsWith('../') || depth > MOST_LINKS) return null;
    let at = '';
    const steps = name === '' ? [] : name.split('/');
    for (const [i, step] of steps.entries()) {
      at = at === '' ? step : `${at}/${step}`;
      const entry = entries.get(at);
      if (entry?.kind !== 'link') continue;
      const target = content.of(entry.id).toString('utf8');
      if (posix.isAbsolute(target)) return null;
      return followed(
        posix.normalize(posix.join(posix.dirname(at), target, ...steps.slice(i + 1))).replace(/\/$/, ''),
        depth + 1,
      );
    }
    return at === '.' ? '' : at;
  };
  const find = (path: string): string | null => {
    const name = followed(within(path));
    return name !== null && (entries.has(name) || folders.has(name) || isGitFolder(name)) ? name : null;
  };
  const fileAt = (path: string): TreeEntry | null => {
    const name = find(path);
    return name === null ? null : (entries.get(name) ?? null);
  };
  return {
    commit,
    top,
    paths: [...entries.keys()],
    contentId: path => fileAt(path)?.id ?? null,
    exists: path => find(path) !== null,
    realPath: path => {
      const name = find(path);
      if (name === null) throw missing(path, 'realpath');
      return name === '' ? top : join(top, name);
    },
    readBytes: (path, most) => {
      const entry = fileAt(path);
      if (entry === null) throw missing(path, 'open');
      return new Uint8Array(content.of(entry.id).subarray(0, most));
    },
  };
}

/** A commit has no `.git`; the repository it belongs to has, which is how the root of recipes is known. */
function isGitFolder(name: string): boolean {
  return name === '.git';
}

function foldersOf(names: Iterable<string>): ReadonlySet<string> {
  const folders = new Set(['']);
  for (const name of names) {
    for (let at = posix.dirname(name); at !== '.' && !folders.has(at); at = posix.dirname(at)) folders.add(at);
  }
  return folders;
}

class BlobStore {
  private readonly blobs = new Map<string, Buffer>();

  constructor(
    private readonly top: string,
    private readonly entries: ReadonlyMap<string, TreeEntry>,
    private readonly revision: string,
  ) {}

  of(id: string): Buffer {
    const known = this.blobs.get(id);
    if (known !== undefined) return known;
    const wanted = this.blobs.size === 0 ? [...new Set([id, ...this.yamlIds()])] : [id];
    this.read(wanted);
    const read = this.blobs.get(id);
    if (read === undefined) throw this.lacking(id);
    return read;
  }

  private yamlIds(): string[] {
    return [...this.entries].filter(([name, e]) => e.kind === 'link' || /\.ya?ml$/i.test(name)).map(([, e]) => e.id);
  }

  /** Answers are `<id> blob <size>`, a line break, the bytes, a line break; or `<id> missing` and a line break. */
  private read(ids: readonly string[]): void {
    const output = git(this.top, 'cat-file', ['--batch'], { input: `${ids.join('\n')}\n` });
    let at = 0;
    for (const id of ids) {
      const end = output.indexOf(10, at);
      const size = / blob (\d+)$/.exec(output.toString('latin1', at, end))?.[1];
      if (size !== undefined) this.blobs.set(id, output.subarray(end + 1, end + 1 + Number(size)));
      at = end + 1 + (size === undefined ? 0 : Number(size) + 1);
    }
  }

  private lacking(id: string): GitError {
    const name = [...this.entries].find(([, entry]) => entry.id === id)![0];
    const remedy = '`git fetch --refetch --no-filter` completes it';
    return new GitError('failed', `the clone lacks the content of ${name} at ${this.revision}; ${remedy}`);
  }
}

function missing(path: string, syscall: string): NodeJS.ErrnoException {
  const error: NodeJS.ErrnoException = new Error(`ENOENT: no such file or directory, ${syscall} '${path}'`);
  return Object.assign(error, { code: 'ENOENT', syscall, path });
}
