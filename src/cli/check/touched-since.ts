import { dirname, join, resolve } from 'node:path';
import { GitError, gitCommit, gitMergeBase, gitTop } from '../../files/git.ts';
import { gitChanges } from '../../files/git-changes.ts';
import { isBelow } from '../../files/is-below.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { withGit } from '../recipes/git-call.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** Parts that are not there: whether they went with the change cannot be seen from the recipe. */
const LOST_PART = new Set(['from-missing', 'from-unreadable', 'from-outside-root']);

type Changed = (path: string) => boolean;

/**
 * Whether a loaded recipe was touched since a revision: itself, or a file it starts from, by way of any number of parts.
 * What counts is the work tree against where it parted from that revision, so that what others did there meanwhile is
 * left out. The repository is that of the current folder, or the recipe's own where it stands elsewhere. A recipe that
 * lacks a part counts as touched.
 * Throws: UsageError for a revision that is none, and for standard input.
 */
export function touchedSince(call: Call, revision: string): (loaded: LoadedRecipe) => boolean {
  if (call.args.includes('-')) throw new UsageError('--since needs files; the recipe comes from standard input');
  const changesOf = changesByFolder(call, revision);
  // The way a file is named may lead over a link, which is a file of its own to git; so may the folder we stand in.
  const here = call.io.files.realPath(call.io.currentFolder);
  return ({ file, files: read, findings: diagnostics }) => {
    const changed = changesOf(realOf(call, dirname(file)));
    return withGit(
      () =>
        read.some(one => changed(resolve(here, one)) || changed(realOf(call, join(one)))) ||
        diagnostics.some(({ code }) => LOST_PART.has(code)),
    );
  };
}

function changesByFolder(call: Call, revision: string): (folder: string) => Changed {
  const ofTop = new Map<string, Changed>();
  const ofFolder = new Map<string, Changed>();
  const { currentFolder } = call.io;
  const find = (folder: string): Changed =>
    withGit(() => {
      const here = topOrNull(currentFolder);
      const top = here !== null && isBelow(here, folder) ? here : gitTop(folder);
      const kept = ofTop.get(top);
      if (kept !== undefined) return kept;
      const changed = gitChanges(top, gitMergeBase(top, revision, 'HEAD') ?? gitCommit(top, revision));
      ofTop.set(top, changed);
      return changed;
    });
  return folder => {
    const changed = ofFolder.get(folder) ?? find(folder);
    ofFolder.set(folder, changed);
    return changed;
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

function realOf(call: Call, file: string): string {
  const path = resolve(call.io.currentFolder, file);
  try {
    return call.io.files.realPath(path);
  } catch {
    return path;
  }
}
