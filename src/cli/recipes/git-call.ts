import { GitError } from '../../files/git.ts';
import { CallFileError, UsageError } from '../terminal/exit-status.ts';

/** What git was asked for, with its errors as ours: a revision that is none is wrong usage, git itself a file matter. */
export function withGit<T>(work: () => T): T {
  try {
    return work();
  } catch (thrown) {
    if (!(thrown instanceof GitError)) throw thrown;
    if (thrown.kind === 'no-revision' || thrown.kind === 'no-repository') throw new UsageError(thrown.message);
    throw new CallFileError(thrown.message);
  }
}
