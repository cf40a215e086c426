import { spawn } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME, build, root, run, shell } from './built-program.ts';

const DEMO = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
let folder = '';

beforeAll(() => {
  build();
  folder = mkdtempSync(join(tmpdir(), 'dwellbook-hostile-'));
  mkdirSync(join(folder, '.git'));
}, BUILD_TIME);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

function put(name: string, content: string | Uint8Array): string {
  writeFileSync(join(folder, name), content);
  return name;
}

/** What `check --json` finds in a file, with its status; nothing goes to standard error, and no trace of a stack anywhere. */
function found(name: string): { status: number | null; codes: string[]; places: string[] } {
  const { status, stdout, stderr } = run(['check', name, '--json'], { cwd: folder });
  expect(stderr).toBe('');
  expect(stdout).not.toMatch(/\n\s+at /);
  const { diagnostics } = JSON.parse(stdout) as { diagnostics: { code: string; line: number; column: number }[] };
  return { status, codes: diagnostics.map(d => d.code), places: diagnostics.map(d => `${d.line}:${d.column}`) };
}

const nested = (open: string, count: number) => `recipe: 1\nnotes: ${open.repeat(count)}\n`;
const aliases = (each: (before: string, name: string) => string) =>
  `recipe: 1\na0: &a0 {x: 1}\n${Array.from({ length: 30 }, (_, i) => each(`a${i}`, `a${i + 1}`)).join('')}`;

describe('hostile files are findings, with status 1', () => {
  it.each([
    ['lists 100,000 deep', nested('[', 100_000), 'yaml-syntax'],
    ['mappings 60,000 deep', nested('{a: ', 60_000), 'yaml-syntax'],
    ['list items 100,000 deep', `recipe: 1\nnotes:\n  ${'- '.repeat(100_000)}\n`, 'yaml-syntax'],
    ['explicit keys 100,000 deep', `recipe: 1\n${'? '.repeat(100_000)}\n`, 'yaml-syntax'],
    ['aliases that unfold to 2^30 values', aliases((a, b) => `${b}: &${b} [*${a}, *${a}]\n`), 'alias-too-large'],
    ['2,000 keys', `recipe: 1\n${Array.from({ length: 2_000 }, (_, i) => `a${i}: 1\n`).join('')}`, 'key-unknown'],
    ['one key 2,000 times', `recipe: 1\n${'a: 1\n'.repeat(2_000)}`, 'yaml-duplicate-key'],
    ['50 MB', `recipe: 1\nnotes: |\n${`  ${'x'.repeat(78)}\n`.repeat(620_000)}`, 'file-too-large'],
    ['a quote that never closes', `recipe: 1\nnotes: "${'x'.repeat(200_000)}`, 'yaml-syntax'],
    ['200,000 digits', `recipe: 1\nneedle: {gauge: 22, length: ${'1'.repeat(200_000)} mm}\n`, 'number-invalid'],
    [
      'an expression of 100,000 parentheses',
      `recipe: 1\nneedle: {gauge: 22, length: "= ${'('.repeat(100_000)}"}\n`,
      'expression-invalid',
    ],
    ['a tower of powers', 'recipe: 1\nneedle: {gauge: 22, length: "= 1 mm * 9^9^9^9^9"}\n', 'expression-invalid'],
    ['a unit of 20,000 factors', `recipe: 1\nneedle: {gauge: 22, length: 1 ${'m.'.repeat(20_000)}m}\n`, 'unit-unknown'],
    ['a NUL', 'recipe: 1\nname: a\u0000b\n', 'yaml-syntax'],
    ['a sign that clears the terminal', 'recipe: 1\nname: "a\\e[2Jb"\n', 'value-type'],
    ['UTF-16', new Uint8Array(Buffer.from(`\ufeff${DEMO}`, 'utf16le')), 'file-not-utf8'],
    ['bytes that are no UTF-8', new Uint8Array([0x72, 0x3a, 0x20, 0xff, 0xfe, 0x0a]), 'file-not-utf8'],
    ['a prototype', 'recipe: 1\n__proto__: {polluted: 1}\nconstructor: {prototype: {x: 1}}\n', 'key-unknown'],
    ['infinity', 'recipe: 1\nneedle: {gauge: 22, length: .inf mm}\n', 'number-invalid'],
    ['a number beyond all', 'recipe: 1\nneedle: {gauge: 22, length: 1e999 mm}\n', 'number-invalid'],
    ['no length', 'recipe: 1\nneedle: {gauge: 22, length: 0 mm}\n', 'value-range'],
    ['a length below zero', 'recipe: 1\nneedle: {gauge: 22, length: -1 mm}\n', 'value-range'],
    ['a pressure for a length', 'recipe: 1\nneedle: {gauge: 22, length: 1 kPa}\n', 'unit-mismatch'],
  ])('%s', (title, text, code) => {
    const { status, codes } = found(put(`${title.replaceAll(/\W+/g, '-')}.yaml`, text));
    expect(status).toBe(1);
    expect(codes).toContain(code);
  });

  it('control characters do not reach the terminal', () => {
    put('escape.yaml', 'recipe: 1\nnam\u001b]0;x\u0007e: "\\e[2J"\n"\\e[2J": 1\n');
    const { stdout, status } = run(['check', 'escape.yaml'], { cwd: folder });
    expect(status).toBe(1);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what must not be there
    expect(stdout).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f]/);
  });
});

describe('from', () => {
  it.each([
    ['a folder', '.', 'from-unreadable'],
    ['a device', '/dev/zero', 'from-outside-root'],
    ['a named pipe', 'pipe', 'from-unreadable'],
    ['a link out of the root', 'out.yaml', 'from-outside-root'],
    ['a link to itself', 'circle.yaml', 'from-missing'],
    ['a path up', '../../../../etc/passwd', 'from-outside-root'],
    ['a path of 9,000 characters', 'a/'.repeat(4_500), 'from-missing'],
    ['itself', 'from-itself.yaml', 'from-loop'],
    ['a file of 1 MB', 'large.yaml', 'file-too-large'],
  ])('%s is a finding', (title, target, code) => {
    if (!existsSync(join(folder, 'pipe'))) {
      shell('mkfifo pipe', folder);
      symlinkSync('/etc/passwd', join(folder, 'out.yaml'));
      symlinkSync('circle.yaml', join(folder, 'circle.yaml'));
      put('large.yaml', '# \n'.repeat(400_000));
    }
    const { status, codes } = found(
      put(`from-${title.replaceAll(' ', '-')}.yaml`, `recipe: 1\nneedle: {from: ${target}}\n`),
    );
    expect(status).toBe(1);
    expect(codes).toContain(code);
  });

  it('unfolds to no more than a bound, however parts start from parts', () => {
    for (const [i, next] of [1, 2, 3].entries()) {
      put(
        `fan${i}.yaml`,
        `recipe: 1\n${Array.from({ length: 60 }, (_, k) => `a${k}: {from: fan${next}.yaml}\n`).join('')}`,
      );
    }
    put('fan3.yaml', Array.from({ length: 2_000 }, (_, k) => `a${k}: ${k}\n`).join(''));
    expect(found('fan0.yaml').codes).toContain('from-loop');
  });
});

describe('outputs that cannot be written', () => {
  const recipe = join(root, 'recipes', 'tide-gauge-pigtail.yaml');
  it.each([
    ['a full disk behind standard output', `dwellbook cavity "${recipe}" --json > /dev/full`],
    ['a full disk behind -o', `dwellbook cavity "${recipe}" --json -o /dev/full`],
    ['a full disk behind a report', `dwellbook check "${recipe}" --report junit=/dev/full > /dev/null`],
    ['a folder', `dwellbook cavity "${recipe}" --json -o /`],
    ['a folder that does not exist', `dwellbook cavity "${recipe}" --json -o nowhere/x.json`],
    ['a path through a file', `dwellbook cavity "${recipe}" --json -o "${recipe}/x.json"`],
    ['a device named as a recipe', 'dwellbook check /dev/zero'],
  ])('%s: status 3 and one plain line', (_title, line) => {
    const { status, stderr } = shell(line);
    expect(stderr).toMatch(/^error: [^\n]+\n$/);
    expect(status).toBe(3);
  });

  it('a reader that goes away is no error', () => {
    // biome-ignore lint/suspicious/noTemplateCurlyInString: the shell's own
    const { stdout, stderr } = shell('dwellbook needles --json | head -c 1; echo " ${PIPESTATUS[0]}"');
    expect(stderr).toBe('');
    expect(stdout).toBe('{ 0\n');
  });

  it('a recipe that cannot be replaced keeps its content', () => {
    // The new file beside it would have a longer name than a file may have, for root as well.
    const name = put(`${'k'.repeat(240)}.yaml`, DEMO);
    const { status, stderr } = run(['setpoint', name, '--write'], { cwd: folder });
    expect(stderr).toMatch(/^error: /m);
    expect(status).toBe(3);
    expect(readFileSync(join(folder, name), 'utf8')).toBe(DEMO);
    rmSync(join(folder, name));
  });
});

describe('--write', () => {
  const setpoint = (name: string, pressure: string) =>
    spawn(process.execPath, [join(root, 'bin', 'dwellbook.js'), 'setpoint', name, '--pressure', pressure, '--write'], {
      cwd: folder,
      stdio: 'ignore',
    });

  it('killed at any moment leaves the old recipe or the new one', async () => {
    const name = put('killed.yaml', DEMO);
    const finished = run(['setpoint', put('finished.yaml', DEMO), '--pressure', '250 kPa', '--write'], { cwd: folder });
    expect(finished.status).toBe(0);
    const changed = readFileSync(join(folder, 'finished.yaml'), 'utf8');
    expect(changed).not.toBe(DEMO);
    for (const wait of [60, 90, 120, 150, 180, 240, 300, 400]) {
      put(name, DEMO);
      const child = setpoint(name, '250 kPa');
      const ended = new Promise(resolve => child.on('exit', resolve));
      await new Promise(resolve => setTimeout(resolve, wait));
      child.kill('SIGKILL');
      await ended;
      expect([DEMO, changed]).toContain(readFileSync(join(folder, name), 'utf8'));
    }
  });

  it('of several processes at once leaves what one of them wrote, and nothing beside it', async () => {
    const name = put('raced.yaml', DEMO);
    const pressures = ['150 kPa', '200 kPa', '250 kPa'];
    const alone = pressures.map((pressure, i) => {
      put(`alone${i}.yaml`, DEMO);
      run(['setpoint', `alone${i}.yaml`, '--pressure', pressure, '--write'], { cwd: folder });
      return readFileSync(join(folder, `alone${i}.yaml`), 'utf8');
    });
    expect(new Set(alone).size).toBe(3);
    await Promise.all(pressures.map(pressure => new Promise(resolve => setpoint(name, pressure).on('exit', resolve))));
    expect(alone).toContain(readFileSync(join(folder, name), 'utf8'));
    expect(readdirSync(folder).filter(file => file.startsWith('.raced'))).toEqual([]);
  });
});

describe('threads', () => {
  it('many recipes on several threads are judged as one by one, in the same order', () => {
    const many = join(folder, 'many');
    mkdirSync(many);
    const names = Array.from({ length: 300 }, (_, i) => `${String(i).padStart(3, '0')}.yaml`);
    for (const [i, name] of names.entries()) {
      const text = i % 50 === 0 ? DEMO.replace('2.4 Pa.s', '2.4') : i % 97 === 0 ? 'face: 1 mm\n' : DEMO;
      writeFileSync(join(many, name), text);
    }
    const check = (...args: string[]) => run(['check', ...args, '--json'], { cwd: folder });
    const together = check('many', '--workers', '3');
    const apart = check(...names.filter((_, i) => i % 50 === 0 || i % 97 !== 0).map(name => `many/${name}`));
    expect(JSON.parse(together.stdout)).toEqual(JSON.parse(apart.stdout));
    expect(check('many', '--workers', '1').stdout).toBe(together.stdout);
    expect(together.status).toBe(1);
    expect(together.stdout).toContain('"many/250.yaml"');
  });
});
