import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME, build, root, run, shell } from '../built-program.ts';

const recipe = 'recipes/tide-gauge-pigtail.yaml';
const folder = mkdtempSync(join(tmpdir(), 'dwellbook-process-'));

beforeAll(build, BUILD_TIME);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('bin/dwellbook.js', () => {
  it('computes, prints JSON to standard output alone, and ends with 0', () => {
    const { status, stdout, stderr } = run(['cavity', recipe, '--json']);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(JSON.parse(stdout)).toMatchObject({ format: 1, command: 'cavity', recipe, name: 'Tide-gauge pigtail' });
  });

  it('gives the same bytes again', () => {
    expect(run(['shot', recipe, '--json']).stdout).toBe(run(['shot', recipe, '--json']).stdout);
  });

  it.each([['--help'], ['check', recipe]])('%s starts without modules that it does not need', (...args) => {
    const list = join(folder, 'modules.cjs');
    writeFileSync(list, "process.on('exit', () => require('fs').writeSync(2, process.moduleLoadList.join('\\n')));");
    const { stderr } = spawnSync(process.execPath, ['-r', list, 'bin/dwellbook.js', ...args], {
      cwd: root,
      encoding: 'utf8',
    });
    expect(stderr).toContain('NativeModule fs\n');
    expect(stderr).not.toMatch(/NativeModule (crypto|zlib|worker_threads|child_process|readline)$/m);
  });

  it('is built without the messages of zod in other languages', () => {
    expect(readFileSync(join(root, 'dist', 'dwellbook.cjs'), 'latin1')).not.toContain('ltige Eingabe');
  });

  it('reads a recipe from standard input', () => {
    const input = readFileSync(join(root, recipe), 'utf8');
    const { status, stdout } = run(['cavity', '-', '--json'], { input });
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({ recipe: '-', name: 'Tide-gauge pigtail' });
    expect(JSON.parse(stdout).result).toEqual(JSON.parse(run(['cavity', recipe, '--json']).stdout).result);
  });

  it('ends with 1 when a recipe has an error', () => {
    const { status, stdout } = run(['check', '-'], { input: 'recipe: 1\nneedel: {gauge: 22}\n' });
    expect(status).toBe(1);
    expect(stdout).toMatch(/^-:2:1: error: /);
  });

  it('ends with 2 for wrong usage, 3 for a file that is not there', () => {
    expect(run(['chek']).status).toBe(2);
    expect(run(['check', 'nowhere.yaml'])).toMatchObject({
      status: 3,
      stderr: 'error: nowhere.yaml: there is no such file or folder\n',
    });
  });

  it('ends with 3 when standard output cannot take the result', () => {
    // Systems without a device that is always full get one that takes nothing: standard output opened for reading.
    const full = existsSync('/dev/full');
    const { status, stderr } = shell(`dwellbook cavity ${recipe} --json ${full ? '> /dev/full' : '1< /dev/null'}`);
    expect(status).toBe(3);
    expect(stderr).toMatch(
      full
        ? /^error: cannot write to standard output: no space is left on the device\n$/
        : /^error: cannot write to standard output: .+\n$/,
    );
  });

  it('is quiet when the reader has seen enough', () => {
    const { stderr, stdout } = shell(
      `set -o pipefail; dwellbook schema | head -c 1 >/dev/null; echo "\${PIPESTATUS[0]}"`,
    );
    expect({ stderr, stdout }).toEqual({ stderr: '', stdout: '0\n' });
  });

  it('waits for a slow reader of a pipe that another process made non-blocking', () => {
    const ready = join(folder, 'ready');
    // A socket on the pipe sets a flag that all who write to it share; the pipe holds less than the schema.
    const nonBlocking = `new (require('net').Socket)({ fd: 1, readable: false }); require('fs').writeFileSync('${ready}', '')`;
    const { stdout, stderr } = shell(
      `{ "${process.execPath}" -e "${nonBlocking}; setInterval(() => 0, 1000)" & other=$!
         until [ -e ${ready} ]; do sleep 0.05; done; dwellbook schema; kill $other; } | { sleep 1; cat; }`,
    );
    expect(stderr).toBe('');
    expect(stdout).toBe(run(['schema']).stdout);
    expect(stdout.length).toBeGreaterThan(100_000);
  });

  it('reads an en dash, which is no ASCII, as the source does', () => {
    const args = ['batch', recipe, '--connectors', '12', '--kit', '20 g', '--json', '--shift'];
    const { status, stdout } = run([...args, '08:00\u201312:00']);
    expect(status).toBe(0);
    expect(stdout).toBe(run([...args, '08:00-12:00']).stdout);
  });

  it('ends with 3 when standard input is a folder', () => {
    expect(shell('dwellbook check - < .')).toMatchObject({
      status: 3,
      stderr: 'error: standard input: it is a folder\n',
    });
  });

  it('shows names of files without what a terminal would obey', () => {
    const odd = mkdtempSync(join(folder, 'odd-'));
    writeFileSync(join(odd, 'a\u001b]0;x\u0007b\rc.yaml'), 'recipe: 1\nneedel: {gauge: 22}\n');
    for (const args of [
      ['check', '.'],
      ['check', '.', '--format', 'github'],
      ['check', 'a*.yaml'],
      ['cavity', '.'],
    ]) {
      const { status, stdout, stderr } = run(args, { cwd: odd });
      expect(status).toBe(1);
      expect(stdout + stderr).toMatch(/a\\u001b\]0;x\\u0007b\\u000dc\.yaml/);
      // biome-ignore lint/suspicious/noControlCharactersInRegex: these must not come out
      expect(stdout + stderr).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f]/);
    }
  });

  it('ends with 3 and one plain message when a file cannot be written', () => {
    mkdirSync(join(folder, 'sub'));
    const toFolder = run(['cavity', recipe, '-o', join(folder, 'sub')]);
    expect(toFolder.status).toBe(3);
    expect(toFolder.stderr).toMatch(/^error: cannot write .*sub: .+\n$/);
    expect(run(['cavity', recipe, '-o', join(folder, 'none', 'x.json')])).toMatchObject({
      status: 3,
      stderr: `error: cannot write ${join(folder, 'none', 'x.json')}: there is no such file or folder\n`,
    });
  });

  it('finds recipes in folders and patterns, and leaves parts out', () => {
    const line = join(folder, 'line');
    mkdirSync(join(line, 'parts'), { recursive: true });
    mkdirSync(join(line, '.hidden'));
    const text = readFileSync(join(root, recipe), 'utf8');
    for (const name of ['b.yaml', 'a.yml', '.hidden/c.yaml']) writeFileSync(join(line, name), text);
    writeFileSync(join(line, 'parts', 'slim.yaml'), 'face: 1.25 mm\n');
    const names = (args: string[]) =>
      JSON.parse(run(args, { cwd: line }).stdout).map((document: { recipe: string }) => document.recipe);
    expect(names(['cavity', '.', '--json'])).toEqual(['a.yml', 'b.yaml']);
    expect(names(['cavity', '*.yaml', '--json'])).toEqual(['b.yaml']);
    expect(run(['check', 'parts'], { cwd: line })).toMatchObject({
      status: 2,
      stderr: 'error: parts: no recipe in this folder (1 YAML file without a `recipe:` key)\n',
    });
    expect(run(['check', '*.json'], { cwd: line }).status).toBe(2);
  });
});
