import { execFileSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { runProgram } from '../../src/cli/program.ts';
import { boundedGlob } from '../../src/cli/terminal/bounded-glob.ts';
import type { CliIo } from '../../src/cli/terminal/io.ts';
import { fileIdentity } from '../../src/files/file-identity.ts';
import { withFileLock } from '../../src/files/file-lock.ts';
import { fakeIo } from './fake-io.ts';

/** A folder of its own with these files, links followed; removed by `remove`. */
export function testFolder(files: Readonly<Record<string, string>> = {}) {
  const path = realpathSync(mkdtempSync(join(tmpdir(), 'dwellbook-test-')));
  const write = (more: Readonly<Record<string, string>>) => {
    for (const [name, text] of Object.entries(more)) {
      mkdirSync(dirname(join(path, name)), { recursive: true });
      writeFileSync(join(path, name), text);
    }
  };
  write(files);
  return {
    path,
    write,
    read: (name: string) => readFileSync(join(path, name), 'utf8'),
    has: (name: string) => existsSync(join(path, name)),
    delete: (name: string) => rmSync(join(path, name)),
    remove: () => rmSync(path, { recursive: true, force: true }),
    git: (...args: string[]) => git(path, args),
    /** Puts everything under version control. */
    commit: (message: string) => {
      git(path, ['add', '-A']);
      git(path, ['commit', '-q', '--allow-empty', '-m', message]);
    },
    run: (
      argv: readonly string[],
      below = '.',
      stdin?: string,
      world?: Partial<Pick<CliIo, 'kept' | 'columns' | 'isTTY'>>,
    ) => runIn(join(path, below), argv, stdin, world),
  };
}

export type TestFolder = ReturnType<typeof testFolder>;

/** The same under version control, with one commit. */
export function testRepository(files: Readonly<Record<string, string>>): TestFolder {
  const folder = testFolder(files);
  folder.git('init', '-q', '-b', 'main');
  folder.commit('first');
  return folder;
}

function git(path: string, args: readonly string[]): string {
  // Nothing of the machine's own settings may decide a test.
  const env = {
    PATH: process.env['PATH'],
    HOME: path,
    GIT_CONFIG_NOSYSTEM: '1',
    GIT_AUTHOR_NAME: 'Test',
    GIT_AUTHOR_EMAIL: 'test@example.org',
    GIT_COMMITTER_NAME: 'Test',
    GIT_COMMITTER_EMAIL: 'test@example.org',
  };
  return execFileSync('git', args, { cwd: path, env, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] }).trim();
}

/** Runs the program on real files as if it had been started in a folder. */
async function runIn(
  folder: string,
  argv: readonly string[],
  stdin?: string,
  world: Partial<Pick<CliIo, 'kept' | 'columns' | 'isTTY'>> = {},
) {
  const fake = fakeIo({}, stdin === undefined ? {} : { stdin });
  const at = (path: string) => resolve(folder, path);
  const io = {
    ...fake,
    ...world,
    currentFolder: folder,
    files: {
      readBytes: (path: string) => new Uint8Array(readFileSync(at(path))),
      realPath: (path: string) => realpathSync(at(path)),
      exists: (path: string) => existsSync(at(path)),
    },
    kindOf: (path: string) => {
      const stat = statSync(at(path), { throwIfNoEntry: false });
      return stat === undefined ? null : stat.isDirectory() ? ('folder' as const) : ('file' as const);
    },
    glob: (pattern: string, base: string) => boundedGlob(pattern, at(base)),
    whileLocked: <T>(path: string, work: () => T) => withFileLock(at(path), work),
    identityOf: (path: string) => fileIdentity(at(path)),
    writeFile: (path: string, content: string | Uint8Array) => writeFileSync(at(path), content),
  };
  const status = await runProgram(argv, io);
  return { status, out: fake.out(), err: fake.err() };
}
