import { spawnSync } from 'node:child_process';
import { existsSync, realpathSync, statSync } from 'node:fs';
import { delimiter, dirname, isAbsolute, join } from 'node:path';
import { isBelow } from './is-below.ts';

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

/** Of git's commands those that read its store and lists of names: no filter, driver, hook, pager or editor belongs to them. */
export type GitCommand = 'rev-parse' | 'merge-base' | 'ls-tree' | 'ls-files' | 'cat-file';

export interface GitOptions {
  readonly input?: string;
  /** How long to wait [ms]. */
  readonly patience?: number;
}

const LIMITS = {
  /** What a call of git may write: a repository of thousands of recipes fits many times over [bytes]. */
  output: 1 << 30,
  /** A call takes milliseconds, of a very large repository seconds [ms]. */
  patience: 120_000,
};

/** What goes before every setting of the repository, which may come from anybody and may name programs. */
const SETTINGS = [
  'safe.bareRepository=explicit',
  'core.fsmonitor=false',
  'core.hooksPath=/dev/null',
  'core.sshCommand=false',
  'credential.helper=',
  'protocol.allow=never',
].flatMap(setting => ['-c', setting]);

/** In place of whatever the caller has set for git. Content that the clone lacks would be fetched, by programs that settings name. */
const ENVIRONMENT = {
  GIT_CONFIG_NOSYSTEM: '1',
  GIT_CONFIG_GLOBAL: '/dev/null', // git knows this name on every system
  GIT_ATTR_NOSYSTEM: '1',
  GIT_NO_LAZY_FETCH: '1',
  GIT_ALLOW_PROTOCOL: 'none', // the same for versions before 2.45 that do not know the line above
  GIT_NO_REPLACE_OBJECTS: '1',
  GIT_GRAFT_FILE: '/dev/null',
  GIT_OPTIONAL_LOCKS: '0',
  GIT_TERMINAL_PROMPT: '0',
  LC_ALL: 'C', // messages are recognised by their words
};

/**
 * Runs git on the repository whose files stand in a folder, and gives back what it wrote. Nothing that the repository names is run.
 *
 * Where the repository is, is said and not left to git: so a folder that looks like one, and settings that put the work tree
 * elsewhere, do not count. Since nothing in it is trusted, it does not matter who owns it.
 * Throws: GitError.
 */
export function git(top: string, command: GitCommand, args: readonly string[], options: GitOptions = {}): Buffer {
  const { input = '', patience = LIMITS.patience } = options;
  const place = [`--git-dir=${join(top, '.git')}`, `--work-tree=${top}`, '-C', top];
  const done = spawnSync(gitProgram(top), ['--no-pager', ...place, ...SETTINGS, command, ...args], {
    input,
    maxBuffer: LIMITS.output,
    timeout: patience,
    killSignal: 'SIGKILL',
    env: { ...withoutGit(process.env), ...ENVIRONMENT },
    windowsHide: true,
  });
  if (done.error !== undefined) {
    const { code, message } = done.error as NodeJS.ErrnoException;
    const reason = code === 'ETIMEDOUT' ? `no answer within ${patience / 1000} s` : message;
    throw new GitError('failed', `git ${command}: ${reason}`);
  }
  if (done.status === 0) return done.stdout;
  const said = done.stderr.toString('utf8').trim().split('\n').at(-1) ?? '';
  if (/not a git repository/.test(said)) throw new GitError('no-repository', `${top} is in no git repository`);
  throw new GitError('failed', `git ${command}: ${said.replace(/^fatal: /, '') || `status ${done.status}`}`);
}

function withoutGit(environment: NodeJS.ProcessEnv): NodeJS.ProcessEnv {
  return Object.fromEntries(Object.entries(environment).filter(([name]) => !/^GIT_/i.test(name)));
}

/** The first git on the path that is no file of the repository, nor of wherever we happen to stand. Throws: GitError. */
function gitProgram(top: string): string {
  const name = process.platform === 'win32' ? 'git.exe' : 'git';
  for (const folder of (process.env['PATH'] ?? '').split(delimiter)) {
    const program = join(folder, name);
    if (isAbsolute(folder) && isFile(program) && !isBelow(top, realpathSync(folder))) return program;
  }
  throw new GitError('no-git', 'git cannot be run: it is not installed, or not on the path');
}

function isFile(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isFile() === true;
}

/**
 * Top folder of the repository that a folder is in, links followed: the nearest with a `.git` that is a repository, or leads to one as
 * in a linked work tree and in a submodule.
 * Throws: GitError of the kind no-repository.
 */
export function gitTop(folder: string): string {
  for (let at = realpathSync(folder); ; at = dirname(at)) {
    if (isRepository(at)) return at;
    if (dirname(at) === at) throw new GitError('no-repository', `${folder} is in no git repository`);
  }
}

export function isRepository(folder: string): boolean {
  const path = join(folder, '.git');
  return isFile(path) || existsSync(join(path, 'HEAD'));
}

/** The commit that a revision names. Throws: GitError of the kind no-revision when there is none. */
export function gitCommit(top: string, revision: string): string {
  // A word with a dash in front would be an option of git.
  if (!revision.startsWith('-') && revision !== '') {
    try {
      const args = ['--verify', '--quiet', '--end-of-options', `${revision}^{commit}`];
      const found = line(git(top, 'rev-parse', args));
      if (/^[0-9a-f]{40,64}$/.test(found)) return found;
    } catch (thrown) {
      if (!(thrown instanceof GitError) || thrown.kind !== 'failed') throw thrown;
    }
  }
  const shallow = line(git(top, 'rev-parse', ['--is-shallow-repository'])) === 'true';
  const hint = shallow ? '; the clone is shallow: fetch the whole history' : '';
  throw new GitError('no-revision', `${JSON.stringify(revision)} is no revision of this repository${hint}`);
}

/**
 * The commit at which the histories of two revisions parted, or null where they have nothing in common.
 * Throws: GitError, of the kind no-revision where one is none.
 */
export function gitMergeBase(top: string, a: string, b: string): string | null {
  const commits = [gitCommit(top, a), gitCommit(top, b)];
  try {
    return line(git(top, 'merge-base', commits));
  } catch (thrown) {
    if (thrown instanceof GitError && thrown.kind === 'failed') return null;
    throw thrown;
  }
}

function line(output: Buffer): string {
  return output.toString('utf8').replace(/\r?\n$/, '');
}
