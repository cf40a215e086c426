import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME } from './cli/built-program.ts';
import { type InstalledPackage, installPackage } from './helpers/installed-package.ts';
import { pageText } from './helpers/pages.ts';
import { expectLines, shellBlocks } from './helpers/shell-blocks.ts';

const desk = mkdtempSync(join(tmpdir(), 'dwellbook-ten-'));
const folder = join(desk, 'line'); // the empty folder
const INSTALL = /^npm install --save-dev (\S+\.tgz)$/;

const [, title = '', rest = ''] = /^## (From an empty folder to a released card)\n([\s\S]*?)^## /m.exec(
  pageText('README.md'),
)!;
const blocks = shellBlocks(rest);
let installed: InstalledPackage;

beforeAll(() => {
  mkdirSync(folder);
  mkdirSync(join(desk, 'dwellbook'));
}, BUILD_TIME);
afterAll(() => rmSync(desk, { recursive: true, force: true }));

/** Runs a line in the folder as its reader would, with nothing of this desk in reach but the programs. */
function run(line: string): { status: number | null; output: string } {
  const { status, stdout } = spawnSync('bash', ['--norc', '-c', `{ ${line}; } 2>&1`], {
    cwd: folder,
    encoding: 'utf8',
    env: {
      PATH: process.env['PATH'],
      HOME: desk,
      GIT_CONFIG_NOSYSTEM: '1',
      npm_config_update_notifier: 'false',
      npm_config_offline: 'true',
      GIT_AUTHOR_NAME: 'A',
      GIT_AUTHOR_EMAIL: 'a@example.org',
      GIT_COMMITTER_NAME: 'A',
      GIT_COMMITTER_EMAIL: 'a@example.org',
    },
  });
  return { status, output: stdout };
}

/** `npm install` without a network: the package that `npm pack` makes, where npm would put it, and npm's two files. */
function install(): void {
  installed = installPackage(join(desk, 'dwellbook'), folder);
  const file = `file:../dwellbook/${basename(installed.packed)}`;
  writeFileSync(join(folder, 'package.json'), JSON.stringify({ devDependencies: { dwellbook: file } }));
  writeFileSync(join(folder, 'package-lock.json'), '{}');
}

describe(title, () => {
  it('is ten commands', () => {
    expect(blocks).toHaveLength(10);
  });

  it.each(blocks)('unchanged: $command prints what the text shows', { timeout: BUILD_TIME }, ({ command, lines }) => {
    const archive = INSTALL.exec(command)?.[1];
    if (archive !== undefined) {
      install();
      expect(join(folder, archive)).toBe(installed.packed);
      return;
    }
    const { status, output } = run(command);
    expect({ status, output }).toMatchObject({ status: 0 });
    expectLines(output, lines);
  });

  it('ends with recipe and card in the last commit', () => {
    const { output } = run('git show --stat --format= HEAD');
    for (const file of ['slim.yaml', 'card.pdf', 'package.json']) expect(output).toContain(file);
    expect(readFileSync(join(folder, 'card.pdf')).subarray(0, 5).toString()).toBe('%PDF-');
  });
});
