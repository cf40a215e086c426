import { execFileSync, type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { join } from 'node:path';

export const root = join(import.meta.dirname, '..', '..');
const program = join(root, 'bin', 'dwellbook.js');

/** How long a build may take on a busy machine [ms]. */
export const BUILD_TIME = 600_000;

/** Builds what bin/ runs; ends at once when nothing has changed. */
export function build(): void {
  execFileSync(process.execPath, [join(root, '.build', 'build.mjs')], { stdio: 'pipe' });
}

/** Runs bin/ as a process. */
export function run(args: readonly string[], options: { input?: string; cwd?: string } = {}): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, [program, ...args], {
    encoding: 'utf8',
    cwd: options.cwd ?? root,
    input: options.input ?? '',
    env: { PATH: process.env['PATH'] },
  });
}

/** Runs a line of shell in which `dwellbook` is bin/. */
export function shell(line: string, cwd = root): SpawnSyncReturns<string> {
  const script = `dwellbook() { "${process.execPath}" "${program}" "$@"; }\n${line}`;
  return spawnSync('bash', ['--norc', '-c', script], {
    stdio: ['ignore', 'pipe', 'pipe'],
    encoding: 'utf8',
    cwd,
    env: { PATH: process.env['PATH'] },
  });
}
