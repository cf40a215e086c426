import { execFileSync, spawn } from 'node:child_process';
import { linkSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { COMMANDS } from '../../../src/cli/command-list.ts';
import { CHECK_LOG_HEADER } from '../../../src/data/release-log.ts';
import { FROM_PART, RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { BUILD_TIME, build, root, run } from '../built-program.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';
import { SPREAD_SHARD } from '../shard/spread-shard.ts';

// What a call read, and every recipe, lock file and check log, stays as it is, whatever `-o` says.

const floor = (name: string) => readFileSync(join(root, 'examples', 'floor', name), 'utf8');
/** A line of the log, in which the columns of before come first. */
const check = (mean: number) => {
  const cells = ['2026-03-02T08:00:00Z', 'in.yaml', 'x', 'S1', 'L1', 'AB', 12, 23, 5, mean, 1.7, 2, 'use'];
  return `${Array.from(CHECK_LOG_HEADER.split(','), (_, i) => cells[i] ?? '').join(',')}\n`;
};
/** What an oven needs; round numbers. */
const KINETICS =
  'cure: {model: castro-macosko, A1: 2.5e6 1/s, E1: 62 kJ/mol, A2: 2.4e6 1/s, E2: 57 kJ/mol, m: 0.9, n: 1.2, gel_conversion: 0.55, c1: 1.5, c2: 1}';
const FILES = {
  'in.yaml': FROM_PART,
  'in2.yaml': FROM_PART,
  'parts/amber.yaml': RESIN_PART,
  'other.yaml': WHOLE,
  'hot.yaml': `${WHOLE.replace(/cure: \{[^}]*\}/, KINETICS)}`.replace(
    'process:\n',
    `process:\n  oven: [[0 min, 23 degC], [1 h, 90 degC]]\n`,
  ),
  'runs.csv': floor('trial-runs.csv'),
  'study.csv': floor('gauge-study.csv'),
  'shard.json': SPREAD_SHARD,
  'log.csv': floor('checks.csv').replaceAll('pigtail.yaml', 'in.yaml'),
  'checks.csv': `${CHECK_LOG_HEADER}\n${[1.85, 1.9, 1.8, 1.88, 1.83].map(check).join('')}`,
};

/** What each command reads and takes beside a recipe; `{}` are the names of its output. */
const CALLS: Readonly<Record<string, string>> = {
  batch: 'in.yaml --connectors 4 -o {}.csv',
  card: 'in.yaml -o {}.pdf',
  compare: 'in.yaml other.yaml -o {}.md',
  completion: 'bash -o {}.sh',
  explain: 'key-missing -o {}.txt',
  family: 'in.yaml in2.yaml --pressure 200kPa -o {}.pdf',
  fit: 'in.yaml runs.csv -o {}.svg',
  gauge: 'in.yaml -o {}.pdf',
  follow: 'log.csv in.yaml -o {}.svg',
  'gauge-rr': 'study.csv --part dot --operator reader --value diameter -o {}.svg',
  merge: 'shard.json -o {}.json',
  mix: 'in.yaml --set resin.mix.base=100g --set resin.mix.hardener=45g --set resin.mix.tolerance=3% --set station.scale=0.05g -o {}.pdf',
  needles: '22 -o {}.txt',
  new: '{}.yaml --force --resin parts/amber.yaml',
  oven: 'hot.yaml -o {}.svg',
  qualify: 'in.yaml --samples 10 -o {}.pdf',
  recall: 'checks.csv --lot L-1 -o {}.csv',
  rehearse: 'in.yaml --samples 10 -o {}.txt',
  release: 'in.yaml --masses 9.0mg,9.1mg --shots 5 -o {}.txt',
  schema: '-o {}.json',
  spread: 'in.yaml --samples 1000 -o {}.txt',
  sweep: 'in.yaml --grid process.prime=1:3:2 --take cavity.gross_uL -o {}.csv',
  trend: 'checks.csv -o {}.svg',
  trials: 'in.yaml -o {}.csv',
};
const callOf = (name: string, target: string) =>
  [name, ...(CALLS[name] ?? 'in.yaml -o {}.txt').split(' ')].map(word => word.replace('{}', target));
const outputOf = (words: readonly string[]) => words.find(word => word.startsWith('out'))!;

let folder: TestFolder;
afterEach(() => folder.remove());

/** Every file with its content. */
function contents(): Record<string, string> {
  return Object.fromEntries(Object.keys(FILES).map(name => [name, folder.read(name)]));
}

async function refused(words: readonly string[], why: string, name = outputOf(words)): Promise<void> {
  const { status, err } = await folder.run(words);
  expect({ words, status, err }).toEqual({
    words,
    status: 3,
    err: expect.stringContaining(`error: ${name} is kept: ${why}`),
  });
  expect(contents()).toEqual(FILES);
}

const READ = 'this call read it';
const WRITTEN = 'this call has just written it';

describe('an output that is a file which the call read', () => {
  const sourceOf: Readonly<Record<string, string>> = {
    'gauge-rr': 'study.csv',
    trend: 'checks.csv',
    recall: 'checks.csv',
    merge: 'shard.json',
    oven: 'hot.yaml',
    new: 'parts/amber.yaml',
  };
  const reading = COMMANDS.map(({ name }) => name).filter(
    name => !['completion', 'explain', 'needles', 'schema', 'follow', 'scan'].includes(name),
  );

  it.each(reading)('of %s is kept, by way of a link and by another name of it', async name => {
    const source = sourceOf[name] ?? 'in.yaml';
    for (const link of [symlinkSync, linkSync]) {
      folder = testFolder(FILES);
      const words = callOf(name, 'out');
      link(join(folder.path, source), join(folder.path, outputOf(words)));
      await refused(words, READ);
      folder.remove();
    }
  });

  it.each(['in.yaml', './in.yaml', 'parts/../in.yaml', './/in.yaml', 'here'])('%s', async name => {
    folder = testFolder(FILES);
    const path = name === 'here' ? join(folder.path, 'in.yaml') : name;
    await refused(['shot', 'in.yaml', '-o', path], READ, path);
    await refused(['check', '.', '--report', `sarif=${path}`], READ, path);
    await refused(['cavity', 'in.yaml', '--json', '-o', path], READ, path);
  });

  it('may be a part, data, or the lock file', async () => {
    folder = testFolder(FILES);
    await refused(['shot', 'in.yaml', '-o', 'parts/amber.yaml'], READ, 'parts/amber.yaml');
    await refused(['check', 'in.yaml', '--report', 'junit=parts/amber.yaml'], READ, 'parts/amber.yaml');
    await refused(
      ['cavity', 'in.yaml', '--set', 'needle.length=12 mm', '-o', 'parts/amber.yaml'],
      READ,
      'parts/amber.yaml',
    );
    await refused(['new', 'parts/amber.yaml', '--force', '--resin', 'parts/amber.yaml'], READ, 'parts/amber.yaml');
    symlinkSync('runs.csv', join(folder.path, 'residuals.svg'));
    await refused(['fit', 'in.yaml', 'runs.csv', '-o', 'residuals.svg'], READ, 'residuals.svg');
    const lock = 'dwellbook.lock.yaml';
    expect((await folder.run(['freeze', 'in.yaml'])).status).toBe(0);
    const before = folder.read(lock);
    await refused(['freeze', 'in.yaml', '-o', lock], WRITTEN, lock);
    expect(folder.read(lock)).toBe(before);
    await refused(['check', 'in.yaml', '--frozen', '--report', `json=${lock}`], READ, lock);
    expect(folder.read(lock)).toBe(before);
  });
});

describe('an output that is a recipe, a lock file or a check log', () => {
  it.each(COMMANDS.map(({ name }) => name).filter(name => !['new', 'scan'].includes(name)))(
    'of %s is kept',
    async name => {
      folder = testFolder(FILES);
      const words = callOf(name, 'out');
      for (const [source, what] of [
        ['other.yaml', 'it is a recipe'],
        ['checks.csv', 'it is a check log'],
      ] as const) {
        if (name === 'trend' && source === 'checks.csv') continue; // it reads that one
        const text = folder.read(source);
        folder.write({ [outputOf(words)]: text });
        if (name === 'compare' && what === 'it is a recipe') folder.write({ [outputOf(words)]: `${text}# another\n` });
        await refused(words, what);
      }
    },
  );

  it.each([
    ['a recipe in JSON', 'x.json', '{"recipe": 1, "name": "x"}'],
    ['a recipe that is broken', 'x.yaml', 'name: x\nrecipe: 1\n  bad: [\n'],
    ['a recipe in UTF-16', 'x.yaml', '\ufeffr\0e\0c\0i\0p\0e\0:\0 \x001\0\n\0'],
    ['a log with a byte-order mark', 'x.csv', `\ufeff${CHECK_LOG_HEADER}\r\n`],
    ['a log without checks', 'x.csv', `${CHECK_LOG_HEADER}\n`],
    ['a log with more columns', 'x.csv', `${CHECK_LOG_HEADER},more\n`],
    ['a lock file', 'x.yaml', '# Computed\nlock: 1\nrecipes: {}\n'],
  ])('%s', async (_title, name, text) => {
    folder = testFolder({ ...FILES, [name]: text });
    const { status, err } = await folder.run(['cavity', 'in.yaml', '-o', name]);
    expect({ status, err }).toEqual({
      status: 3,
      err: expect.stringMatching(/^error: x\.\w+ is kept: it is a (recipe|check log|lock file)/),
    });
    expect(folder.read(name)).toBe(text);
  });
});

describe('an output that is neither', () => {
  it('is written over: results of before, in every format, and what was there', async () => {
    folder = testFolder({ ...FILES, 'notes.txt': 'words\n', 'empty.yaml': '' });
    for (const words of [
      ['shot', 'in.yaml', '--json', '-o', 'x.json'],
      ['cavity', '.', '--json', '-o', 'all.json'],
      ['check', '.', '--json', '-o', 'check.json'],
      ['check', 'in.yaml', '--json', '--report', 'sarif=x.sarif', '--report', 'jsonl=x.jsonl', '-o', 'one.json'],
      ['ramp', 'in.yaml', '-o', 'ramp.csv'],
      ['trials', 'in.yaml', '-o', 'trials.csv'],
      ['compare', 'in.yaml', 'other.yaml', '--markdown', '-o', 'x.md'],
      ['compare', 'in.yaml', 'other.yaml', '--json', '-o', 'compare.json'],
      ['freeze', '--json', '-o', 'freeze.json'],
      ['freeze', '-o', 'freeze.txt'],
      ['cavity', 'in.yaml', '-o', 'notes.txt'],
      ['cavity', 'in.yaml', '-o', 'empty.yaml'],
    ]) {
      for (const time of ['first', 'second']) {
        const { status, err } = await folder.run(words);
        expect({ words, time, status, err: err.match(/^error: .*kept.*/m) }).toEqual({
          words,
          time,
          status: expect.toBeOneOf([0, 1]),
          err: null,
        });
      }
    }
    expect(contents()).toEqual(FILES);
  });

  it('may be named once in a call', async () => {
    folder = testFolder(FILES);
    const twice = await folder.run(['check', 'in.yaml', '--report', 'json=x', '--report', 'sarif=./x']);
    expect(twice).toMatchObject({ status: 3, err: `error: ./x is kept: ${WRITTEN}; name another file\n` });
    expect(JSON.parse(folder.read('x'))).toMatchObject({ command: 'check' });
  });

  it('may be what the call is asked to change', async () => {
    folder = testFolder(FILES);
    expect((await folder.run(['setpoint', 'in.yaml', '--pressure', '200 kPa', '--write'])).status).toBe(0);
    expect(folder.read('in.yaml')).toContain('200 kPa');
    expect((await folder.run(['freeze', 'in.yaml', 'other.yaml'])).status).toBe(0);
    expect((await folder.run(['freeze', 'in.yaml'])).status).toBe(0);
    expect((await folder.run(['new', 'other.yaml', '--force'])).status).toBe(0);
    expect(folder.read('other.yaml')).not.toBe(WHOLE);
  });
});

describe('of the built program', () => {
  beforeAll(build, BUILD_TIME);

  it('a file behind standard input is kept', () => {
    folder = testFolder(FILES);
    const shell = (line: string) =>
      execFileSync('bash', ['-c', `"${process.execPath}" "${root}/bin/dwellbook.js" ${line}; echo $?`], {
        cwd: folder.path,
        encoding: 'utf8',
        stdio: ['ignore', 'pipe', 'ignore'],
      });
    expect(shell('cavity - -o in.yaml < in.yaml')).toBe('3\n');
    expect(shell('trend - -o out.svg < checks.csv > /dev/null')).toBe('0\n');
    expect(contents()).toEqual(FILES);
  });

  it('a part that only another thread read is kept', () => {
    folder = testFolder({ ...FILES, 'parts/amber.yaml': RESIN_PART, 'parts/last.txt': RESIN_PART });
    // The last files are left for the other threads, which take a moment to start.
    for (let i = 0; i < 400; i++) {
      const part = i < 300 ? FROM_PART : FROM_PART.replace('amber.yaml', 'last.txt');
      writeFileSync(join(folder.path, `${String(i).padStart(3, '0')}.yaml`), part);
    }
    const { status, stderr } = run(['check', '.', '--workers', '4', '--report', 'json=parts/last.txt'], {
      cwd: folder.path,
    });
    expect(stderr).toContain('error: parts/last.txt is kept: this call read it');
    expect(status).toBe(3);
    expect(folder.read('parts/last.txt')).toBe(RESIN_PART);
  });

  it('a pipe without a reader is given up, one with a slow reader gets all', async () => {
    folder = testFolder(FILES);
    const pipe = join(folder.path, 'pipe');
    execFileSync('mkfifo', [pipe]);
    const alone = run(['cavity', 'in.yaml', '-o', 'pipe'], { cwd: folder.path });
    expect(alone).toMatchObject({ status: 3, stderr: 'error: cannot write pipe: nothing reads from this pipe\n' });
    for (const words of [
      ['check', 'pipe'],
      ['cavity', 'pipe'],
      ['fit', 'in.yaml', 'pipe'],
      ['trend', 'pipe'],
      ['release', 'in.yaml', '--masses', '9 mg', '--incomplete', '--log', 'pipe'],
      ['freeze', 'in.yaml', '--lock', 'pipe'],
    ]) {
      const { status, stderr } = run(words, { cwd: folder.path });
      expect({ words, status, stderr }).toEqual({
        words,
        status: 3,
        stderr: expect.stringMatching(/^error: .*it is a device or a pipe, not a file\n$/),
      });
    }
    // The schema is longer than a pipe holds, and its reader comes late and reads slowly.
    const reader = spawn('bash', ['-c', 'sleep 1; { head -c 70000; sleep 1; cat; } < pipe'], { cwd: folder.path });
    const chunks: Buffer[] = [];
    reader.stdout.on('data', chunk => chunks.push(chunk));
    const ended = new Promise(resolve => reader.on('close', resolve));
    const writer = spawn(process.execPath, [join(root, 'bin', 'dwellbook.js'), 'schema', '-o', 'pipe'], {
      cwd: folder.path,
    });
    const status = await new Promise(resolve => writer.on('close', resolve));
    await ended;
    expect(status).toBe(0);
    expect(Buffer.concat(chunks).toString()).toBe(run(['schema']).stdout);
  });

  it('a lock that is no file is waited for and given up', () => {
    folder = testFolder({ ...FILES, 'log.csv.lock/keep': '' });
    const { status, stderr } = run(['release', 'in.yaml', '--masses', '9 mg', '--incomplete', '--log', 'log.csv'], {
      cwd: folder.path,
    });
    expect({ status, stderr }).toEqual({
      status: 3,
      stderr: 'error: cannot write log.csv: another process is writing to it (log.csv.lock)\n',
    });
  });
});
