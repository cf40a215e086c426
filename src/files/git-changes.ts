import { createHash } from 'node:crypto';
import { readlinkSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { GitError, git, isRepository } from './git.ts';
import { gitTree, type TreeEntry } from './git-tree.ts';
import { isBelow } from './is-below.ts';
import { nodeFileSystem } from './node-file-system.ts';

/** No recipe or part is as large; what is counts as changed [bytes]. */
const MOST = 1 << 20;

/**
 * Whether what stands at a path of the work tree is other than a commit has it: changed, new and not ignored, or gone. A link that is
 * the same is not followed. Compared are the bytes, by digest, since git's own comparison runs the filters that the repository names;
 * where a filter is in use, as for large files, a file is therefore changed. Ends of lines alone are no change. Files of a
 * submodule are compared with the commit of it that this commit names.
 * Throws: GitError; so does the function that comes back.
 */
export function gitChanges(top: string, commit: string): (path: string) => boolean {
  const tree = gitTree(top, commit);
  const submodules = new Map<string, (path: string) => boolean>();
  let listed: ReadonlySet<string> | null = null;

  const inSubmodule = (name: string, id: string): ((path: string) => boolean) => {
    const known = submodules.get(name) ?? submoduleChanges(join(top, name), id);
    submodules.set(name, known);
    return known;
  };
  /** Git names a submodule by its folder, and a repository within by its folder with a slash. */
  const isNew = (ways: readonly string[]): boolean => {
    listed ??= listedFiles(top);
    return ways.some(way => listed!.has(way) || listed!.has(`${way}/`));
  };
  const isChanged = (path: string): boolean => {
    if (!isBelow(top, path)) return false;
    const ways = waysTo(relative(top, path).split(sep));
    const way = ways.find(at => tree.has(at));
    if (way === undefined) return isNew(ways);
    const entry = tree.get(way)!;
    if (entry.kind === 'submodule') return inSubmodule(way, entry.id)(path);
    return !isSame(join(top, way), entry);
  };
  const known = new Map<string, boolean>(); // thousands of recipes start from the same part
  return path => {
    const changed = known.get(path) ?? isChanged(path);
    known.set(path, changed);
    return changed;
  };
}

/** a, a/b, a/b/c. */
function waysTo(steps: readonly string[]): string[] {
  return steps.map((_, i) => steps.slice(0, i + 1).join('/'));
}

function submoduleChanges(top: string, commit: string): (path: string) => boolean {
  try {
    if (isRepository(top)) return gitChanges(top, commit);
  } catch (thrown) {
    if (!(thrown instanceof GitError)) throw thrown;
  }
  return () => true; // It lacks the commit, or is not there.
}

/** Files that git keeps or would keep: not those that are ignored. */
function listedFiles(top: string): ReadonlySet<string> {
  const output = git(top, 'ls-files', ['-z', '--cached', '--others', '--exclude-standard']);
  return new Set(output.toString('utf8').split('\0'));
}

function isSame(path: string, { kind, id }: TreeEntry): boolean {
  try {
    if (kind === 'link') return blobId(Buffer.from(readlinkSync(path)), id) === id;
    const bytes = Buffer.from(nodeFileSystem.readBytes(path, MOST + 1));
    if (bytes.length > MOST) return false;
    // As characters of one byte, so that no byte is changed but the ends of lines.
    return blobId(bytes, id) === id || blobId(Buffer.from(withPlainEnds(bytes), 'latin1'), id) === id;
  } catch {
    return false;
  }
}

function withPlainEnds(bytes: Buffer): string {
  return bytes.toString('latin1').replaceAll('\r\n', '\n');
}

/** The id that git gives to a content, with the digest of the other id. */
function blobId(bytes: Buffer, other: string): string {
  const digest = createHash(other.length === 40 ? 'sha1' : 'sha256');
  return digest.update(`blob ${bytes.length}\0`).update(bytes).digest('hex');
}
