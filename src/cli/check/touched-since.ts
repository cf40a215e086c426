import { dirname, isAbsolute, join, posix, relative, resolve, sep } from 'node:path';
import { GitError, gitChangedFiles, gitCommit, gitMergeBase, gitTop } from '../../files/git.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { withGit } from '../recipes/git-call.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** Parts that are not there: whether they went with the change cannot be seen from the recipe. */
const LOST_PART = new Set(['from-missing', 'from-unreadable', 'from-outside-root']);

/** What a repository says of a revision. */
interface Repository {
  readonly top: string;
  readonly changed: ReadonlySet<string>;
}

/**
 * Whether a loaded recipe was touched since a revision: itself, or a file it starts from, by way of any number of parts.
 * What counts is the work tree against where it parted from that revision, so that what others did there meanwhile is
 * left out. The repository is that of the current folder, or the recipe's own where it stands elsewhere. A recipe that
 * lacks a part counts as touched, and so does one in a submodule that moved.
 * Throws: UsageError for a revision that is none, and for standard input.
 */
export function touchedSince(call: Call, revision: string): (loaded: LoadedRecipe) => boolean {
  if (call.args.includes('-')) throw new UsageError('--since needs files; the recipe comes from standard input');
  const repositoryOf = repositories(call, revision);
  // The way a file is named may lead over a link, which is a file of its own to git; so may the folder we stand in.
  const here = call.io.files.realPath(call.io.currentFolder);
  return ({ file, files: read, diagnostics }) => {
    const repository = repositoryOf(realOf(call, dirname(file)));
    const changed = (path: string) => isChanged(repository, path);
    return (
      read.some(one => changed(resolve(here, one)) || changed(realOf(call, join(one)))) ||
      diagnostics.some(({ code }) => LOST_PART.has(code))
    );
  };
}

function repositories(call: Call, revision: string): (folder: string) => Repository {
  const known = new Map<string, Repository>();
  const ofFolder = new Map<string, Repository>();
  const { currentFolder } = call.io;
  const find = (folder: string): Repository =>
    withGit(() => {
      const here = topOrNull(currentFolder);
      const top = here !== null && isInside(here, folder) ? here : gitTop(folder);
      const kept = known.get(top);
      if (kept !== undefined) return kept;
      const commit = gitCommit(top, revision);
      const changed = new Set(gitChangedFiles(top, gitMergeBase(top, commit, 'HEAD') ?? commit));
      known.set(top, { top, changed });
      return { top, changed };
    });
  return folder => {
    const repository = ofFolder.get(folder) ?? find(folder);
    ofFolder.set(folder, repository);
    return repository;
  };
}

function topOrNull(folder: string): string | null {
  try {
    return gitTop(folder);
  } catch (thrown) {
    if (thrown instanceof GitError && thrown.kind === 'no-repository') return null;
    throw thrown;
  }
}

function isInside(top: string, folder: string): boolean {
  const way = relative(top, folder);
  return way === '' || !(way === '..' || way.startsWith(`..${sep}`) || isAbsolute(way));
}

/** Git names a submodule, or a repository within, by its folder alone. */
function isChanged({ top, changed }: Repository, path: string): boolean {
  for (let way = relative(top, path).split(sep).join('/'); way !== '' && way !== '.'; way = posix.dirname(way)) {
    if (changed.has(way) || changed.has(`${way}/`)) return true;
    if (way === '..' || way.startsWith('/')) return false;
  }
  return false;
}

function realOf(call: Call, file: string): string {
  const path = resolve(call.io.currentFolder, file);
  try {
    return call.io.files.realPath(path);
  } catch {
    return path;
  }
}
