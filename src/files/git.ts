import { spawnSync } from 'node:child_process';

/** Why git did not do what it was asked; `kind` tells a wrong call from a machine without git. */
export class GitError extends Error {
  override readonly name = 'GitError';
  constructor(
    readonly kind: 'no-git' | 'no-repository' | 'no-revision' | 'failed',
    message: string,
  ) {
    super(message);
  }
}

/** What a call of git may write: a repository of thousands of recipes fits many times over [bytes]. */
const MOST = 1 << 30;

/** Runs git in a folder and gives back what it wrote. Throws: GitError. */
export function git(folder: string, args: readonly string[], input: string = ''): Buffer {
  const done = spawnSync('git', ['--no-optional-locks', '-C', folder, ...args], {
    input,
    maxBuffer: MOST,
    // Messages are recognised by their words. A hook that runs us (`pre-commit`) may have set where git looks; that stays.
    env: { ...process.env, LC_ALL: 'C' },
  });
  if (done.error !== undefined) {
    const missing = (done.error as NodeJS.ErrnoException).code === 'ENOENT';
    if (missing) throw new GitError('no-git', 'git cannot be run: it is not installed, or not on the path');
    throw new GitError('failed', `git ${args[0]}: ${done.error.message}`);
  }
  if (done.status === 0) return done.stdout;
  const said = done.stderr.toString('utf8').trim().split('\n')[0] ?? '';
  if (/not a git repository/.test(said)) throw new GitError('no-repository', `${folder} is in no git repository`);
  throw new GitError('failed', `git ${args[0]}: ${said.replace(/^fatal: /, '') || `status ${done.status}`}`);
}

/** Top folder of the repository that a folder is in, links followed. Throws: GitError. */
export function gitTop(folder: string): string {
  return line(git(folder, ['rev-parse', '--show-toplevel']));
}

/** The commit that a revision names. Throws: GitError of the kind no-revision when there is none. */
export function gitCommit(folder: string, revision: string): string {
  // A word with a dash in front would be an option of git.
  if (!revision.startsWith('-') && revision !== '') {
    try {
      return line(git(folder, ['rev-parse', '--verify', '--quiet', `${revision}^{commit}`]));
    } catch (thrown) {
      if (!(thrown instanceof GitError) || thrown.kind !== 'failed') throw thrown;
    }
  }
  const shallow = line(git(folder, ['rev-parse', '--is-shallow-repository'])) === 'true';
  const hint = shallow ? '; the clone is shallow: fetch the whole history' : '';
  throw new GitError('no-revision', `"${revision}" is no revision of this repository${hint}`);
}

/** The commit at which two histories parted, or null where they have nothing in common. Throws: GitError. */
export function gitMergeBase(folder: string, a: string, b: string): string | null {
  try {
    return line(git(folder, ['merge-base', a, b]));
  } catch (thrown) {
    if (thrown instanceof GitError && thrown.kind === 'failed') return null;
    throw thrown;
  }
}

/**
 * Files, from the top of the repository, whose content in the work tree is not that of a commit: committed since, staged,
 * changed, removed, or not known to git and not ignored. Throws: GitError.
 */
export function gitChangedFiles(top: string, commit: string): string[] {
  const changed = git(top, [
    'diff',
    '--name-only',
    '-z',
    '--no-renames',
    '--no-relative',
    '--no-ext-diff',
    commit,
    '--',
  ]);
  const fresh = git(top, ['ls-files', '-z', '--others', '--exclude-standard']);
  return [...new Set([...names(changed), ...names(fresh)])].sort();
}

function names(output: Buffer): string[] {
  return output
    .toString('utf8')
    .split('\0')
    .filter(name => name !== '');
}

function line(output: Buffer): string {
  return output.toString('utf8').replace(/\r?\n$/, '');
}
