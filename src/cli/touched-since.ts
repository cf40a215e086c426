import { join, relative, resolve, sep } from 'node:path';
import { gitChangedFiles, gitCommit, gitMergeBase, gitTop } from '../files/git.ts';
import type { LoadedRecipe } from '../recipe/load.ts';
import type { Call } from './command.ts';
import { UsageError } from './exit-status.ts';
import { withGit } from './git-call.ts';

/** Parts that are not there: whether they went with the change cannot be seen from the recipe. */
const LOST_PART = new Set(['from-missing', 'from-unreadable', 'from-outside-root']);

/**
 * Whether a loaded recipe was touched since a revision: itself, or a file it starts from, by way of any number of parts.
 * What counts is the work tree against where it parted from that revision, so that what others did there meanwhile is
 * left out. A recipe that lacks a part counts as touched.
 * Throws: UsageError for a revision that is none, and for standard input.
 */
export function touchedSince(call: Call, revision: string): (loaded: LoadedRecipe) => boolean {
  if (call.args.includes('-')) throw new UsageError('--since needs files; the recipe comes from standard input');
  const { currentFolder, files } = call.io;
  const { top, changed } = withGit(() => {
    const top = gitTop(currentFolder);
    const commit = gitCommit(currentFolder, revision);
    return { top, changed: new Set(gitChangedFiles(top, gitMergeBase(currentFolder, commit, 'HEAD') ?? commit)) };
  });
  const fromTop = (path: string) => relative(top, path).split(sep).join('/');
  // The way a file is named may lead over a link, which is a file of its own to git; so may the folder we stand in.
  const here = files.realPath(currentFolder);
  return ({ files: read, diagnostics }) =>
    read.some(file => changed.has(fromTop(resolve(here, file))) || changed.has(fromTop(realOf(call, join(file))))) ||
    diagnostics.some(({ code }) => LOST_PART.has(code));
}

function realOf(call: Call, file: string): string {
  const path = resolve(call.io.currentFolder, file);
  try {
    return call.io.files.realPath(path);
  } catch {
    return path;
  }
}
