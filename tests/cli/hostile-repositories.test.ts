import { execFileSync } from 'node:child_process';
import { chmodSync, cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/command-list.ts';
import { git } from '../../src/files/git.ts';
import { type TestFolder, testFolder, testRepository } from './folder-io.ts';

// A clone, a download or a plugged-in disk may hold a repository whose settings name programs. Each of these names one that leaves
// its name in a file outside; nothing may be there after any command that asks git.

const A = 'recipe: 1\nname: A\nneedle: {gauge: 22, wall: regular, length: 12.7 mm}\n';
const RESIN = 'density: 1.15 g/mL\n';
const FILES = {
  'a.yaml': A,
  'line/b.yaml': 'recipe: 1\nname: B\nresin: {from: ../parts/amber.yaml}\n',
  'parts/amber.yaml': RESIN,
};

/** Every command that asks git. */
const CALLS = [
  ['check', '--since', 'HEAD', '--json'],
  ['check', '--since', 'HEAD~1', '--json'],
  ['compare', 'HEAD'],
  ['compare', 'HEAD~1..HEAD'],
  ['compare', 'HEAD~1...HEAD', '--markdown'],
  ['compare', 'HEAD~1', 'HEAD', '--json'],
  ['compare', '@{upstream}'],
];
/** Between them they use all that git is asked for. */
const FEW = CALLS.filter(call => call.includes('HEAD~1') || call.includes('HEAD~1...HEAD'));

interface Place {
  readonly repository: TestFolder;
  /** The program that nothing may run. */
  readonly program: string;
  /** Sets a value in the repository's own settings. */
  readonly set: (key: string, value: string) => void;
}

const outside: TestFolder[] = [];
const TRACE = 'ran.txt';

afterEach(() => {
  for (const folder of outside.splice(0)) folder.remove();
});

/** A repository of two commits with a changed file, and a program beside it that tells when it was run. */
function place(files: Readonly<Record<string, string>> = FILES): Place & { ran: () => string } {
  const beside = testFolder();
  const repository = testRepository(files);
  outside.push(beside, repository);
  repository.write({ 'a.yaml': A.replace('12.7 mm', '12 mm') });
  repository.commit('second');
  repository.write({ 'a.yaml': `${A}# a remark\n` });
  const trace = join(beside.path, TRACE);
  const program = join(beside.path, 'program');
  writeFileSync(program, `#!/bin/sh\necho "$0 $*" >> '${trace}'\n`);
  chmodSync(program, 0o755);
  return {
    repository,
    program,
    set: (key, value) => void repository.git('config', '--add', key, value),
    ran: () => (existsSync(trace) ? readFileSync(trace, 'utf8') : ''),
  };
}

/** All that would run something when git looks at files, or writes or shows something. */
const SETTINGS: Record<string, (program: string) => [key: string, value: string][]> = {
  'a monitor of the file system': program => [['core.fsmonitor', program]],
  'the monitor of git itself': () => [['core.fsmonitor', 'true']],
  'filters of content': program => [
    ['filter.x.clean', program],
    ['filter.x.smudge', program],
    ['filter.x.required', 'true'],
  ],
  'a filter that stays': program => [
    ['filter.x.process', program],
    ['filter.x.required', 'true'],
  ],
  'an external diff': program => [
    ['diff.external', program],
    ['diff.x.command', program],
  ],
  'text for a diff': program => [
    ['diff.x.textconv', program],
    ['diff.x.cachetextconv', 'true'],
  ],
  'hooks elsewhere': program => [['core.hooksPath', join(program, '..', 'hooks')]],
  'names of git commands': program =>
    ['rev-parse', 'merge-base', 'ls-tree', 'ls-files', 'cat-file', 'diff', 'status'].map(name => [
      `alias.${name}`,
      `!${program}`,
    ]),
  'pagers and editors': program => [
    ...['core.pager', 'core.editor', 'sequence.editor', 'interactive.diffFilter'].map((key): [string, string] => [
      key,
      program,
    ]),
    ...['rev-parse', 'ls-tree', 'ls-files', 'cat-file', 'merge-base', 'diff'].map((name): [string, string] => [
      `pager.${name}`,
      program,
    ]),
  ],
  'ways to a server': program => [
    ['core.sshCommand', program],
    ['core.gitProxy', program],
    ['core.askPass', program],
    ['credential.helper', program],
    ['core.alternateRefsCommand', program],
    ['uploadpack.packObjectsHook', program],
    ['gpg.program', program],
    ['merge.x.driver', program],
    ['submodule.x.update', `!${program}`],
  ],
};

/** What commands ask for beside a recipe. */
const MORE: Readonly<Record<string, readonly string[]>> = {
  batch: ['--connectors', '4'],
  compare: ['line/b.yaml'],
  release: ['--dots', '3 mm'],
  sweep: ['--grid', 'needle.gauge=20,21', '--take', 'shot.volume_uL'],
  fit: ['parts/amber.yaml'],
  new: ['--force'],
};

const ATTRIBUTES = '* filter=x diff=x merge=x\n';

/** Runs every command in these folders of a repository; at its top each has a result. */
async function runAll({ repository }: Place, below: readonly string[] = ['.'], calls = FEW): Promise<void> {
  for (const folder of below) {
    for (const call of calls) {
      const { status, err } = await repository.run(call, folder);
      expect(status, `${folder}: ${call.join(' ')}: ${err}`).not.toBe(70);
      if (folder === '.') expect(status, `${call.join(' ')}: ${err}`).toBe(call.includes('@{upstream}') ? 2 : 0);
    }
  }
}

describe('settings of a repository that name a program', () => {
  it('are seen to run it when git is asked without care', () => {
    // Else the tests below would pass for want of a trap.
    const trap = place();
    trap.repository.write({ '.gitattributes': ATTRIBUTES });
    for (const settings of [SETTINGS['filters of content']!, SETTINGS['a monitor of the file system']!])
      for (const [key, value] of settings(trap.program)) trap.set(key, value);
    trap.repository.write({ 'a.yaml': A.replace('12.7 mm', '11 mm') });
    trap.repository.git('diff', '--name-only', 'HEAD~1');
    expect(trap.ran()).not.toBe('');
  });

  it.each(Object.keys(SETTINGS))('%s: nothing runs', async title => {
    const trap = place();
    trap.repository.write({ '.gitattributes': ATTRIBUTES });
    mkdirSync(join(trap.program, '..', 'hooks'));
    for (const hook of ['post-index-change', 'reference-transaction', 'post-checkout', 'fsmonitor-watchman'])
      cpSync(trap.program, join(trap.program, '..', 'hooks', hook));
    for (const [key, value] of SETTINGS[title]!(trap.program)) trap.set(key, value);
    await runAll(trap);
    expect(trap.ran()).toBe('');
    expect(readdirSync(join(trap.repository.path, '.git')).filter(name => /fsmonitor--daemon/.test(name))).toEqual([]);
  });

  it('all of them, by way of a file that the settings include, in every other command as well', async () => {
    const trap = place();
    trap.repository.write({ '.gitattributes': ATTRIBUTES });
    for (const [key, value] of Object.values(SETTINGS).flatMap(of => of(trap.program)))
      trap.repository.git('config', '-f', '.git/more', '--add', key, value);
    trap.set('include.path', 'more');
    await runAll(trap, ['.', 'line'], CALLS);
    for (const { name } of COMMANDS) await trap.repository.run([name, 'a.yaml', ...(MORE[name] ?? [])]);
    expect(trap.ran()).toBe('');
  });

  it('all of them, in settings of the work tree alone', async () => {
    const trap = place();
    trap.set('extensions.worktreeConfig', 'true');
    for (const [key, value] of Object.values(SETTINGS).flatMap(of => of(trap.program)))
      trap.repository.git('config', '--worktree', '--add', key, value);
    trap.repository.write({ '.git/info/attributes': ATTRIBUTES });
    await runAll(trap);
    expect(trap.ran()).toBe('');
  });

  it('hooks in their usual place', async () => {
    const trap = place();
    for (const hook of ['post-index-change', 'reference-transaction', 'fsmonitor-watchman', 'pre-auto-gc'])
      cpSync(trap.program, join(trap.repository.path, '.git', 'hooks', hook));
    // An index that is older than the files is one that git would refresh and write.
    trap.repository.write({ 'parts/amber.yaml': RESIN });
    await runAll(trap);
    expect(trap.ran()).toBe('');
  });
});

describe('folders that git takes for a repository', () => {
  it('a bare one among the files is none, though its settings make it one with a work tree', async () => {
    const trap = place();
    const at = join(trap.repository.path, 'line');
    for (const folder of ['objects', 'refs']) {
      mkdirSync(join(at, folder));
      writeFileSync(join(at, folder, 'keep'), '');
    }
    writeFileSync(join(at, 'HEAD'), 'ref: refs/heads/main\n');
    writeFileSync(
      join(at, 'config'),
      `[core]\nrepositoryformatversion = 0\nbare = false\nworktree = "${at}"\nfsmonitor = "${trap.program}"\n`,
    );
    trap.repository.commit('a folder more');
    await runAll(trap, ['.', 'line']);
    expect(trap.ran()).toBe('');
    // It is a folder of the repository around it.
    trap.repository.write({ 'line/b.yaml': `${FILES['line/b.yaml']}# a remark\n` });
    const { out } = await trap.repository.run(['check', '--since', 'HEAD', '--json'], 'line');
    expect(JSON.parse(out).map((one: { recipe: string }) => one.recipe)).toEqual(['b.yaml']);
  });

  it('a submodule, and a repository inside, do not run what their own settings name', async () => {
    const trap = place();
    const library = testRepository(FILES);
    outside.push(library);
    trap.repository.git('-c', 'protocol.file.allow=always', 'submodule', '--quiet', 'add', library.path, 'library');
    trap.repository.commit('a submodule');
    trap.repository.git('init', '-q', 'line/inner');
    trap.repository.write({ 'line/inner/c.yaml': A });
    for (const inside of ['library', 'line/inner'])
      for (const [key, value] of Object.values(SETTINGS).flatMap(of => of(trap.program)))
        trap.repository.git('-C', inside, 'config', '--add', key, value);
    trap.repository.write({ 'library/a.yaml': `${A}# a remark\n`, 'library/.gitattributes': ATTRIBUTES });
    await runAll(trap, ['.', 'library']);
    expect(trap.ran()).toBe('');
  });

  it('a work tree that the settings put elsewhere is not looked at', async () => {
    const trap = place();
    const away = testFolder({ 'a.yaml': 'no recipe\n' });
    outside.push(away);
    trap.repository.git('config', 'core.worktree', away.path);
    const { status, out } = await trap.repository.run(['check', '--since', 'HEAD', '--json']);
    expect({ status, recipes: JSON.parse(out).map((one: { recipe: string }) => one.recipe) }).toEqual({
      status: 0,
      recipes: ['a.yaml'],
    });
  });

  it('a linked work tree is one', async () => {
    const trap = place();
    const linked = join(trap.repository.path, '..', `${TRACE}-linked-${process.pid}`);
    trap.repository.git('worktree', 'add', '-q', '--detach', linked);
    try {
      writeFileSync(join(linked, 'a.yaml'), `${A}# a remark\n`);
      const { out } = await trap.repository.run(['check', linked, '--since', 'HEAD', '--json']);
      expect(JSON.parse(out).map((one: { recipe: string }) => one.recipe)).toEqual([`${linked}/a.yaml`]);
    } finally {
      rmSync(linked, { recursive: true });
    }
  });
});

describe('content that the clone lacks', () => {
  const remotes: Record<string, (program: string) => [string, string][]> = {
    'a helper of its own': program => [
      ['remote.origin.url', `ext::${program} %S`],
      ['protocol.ext.allow', 'always'],
    ],
    ssh: program => [
      ['remote.origin.url', 'ssh://example.invalid/x.git'],
      ['core.sshCommand', program],
    ],
    'a program that packs': program => [
      ['remote.origin.url', join(program, '..')],
      ['remote.origin.uploadpack', program],
      ['protocol.file.allow', 'always'],
    ],
    'a kind of server': program => [
      ['remote.origin.url', 'x'],
      ['remote.origin.vcs', `../../../../../..${program}`],
    ],
  };

  it.each(Object.keys(remotes))('is not fetched by way of %s', async title => {
    const trap = place();
    const blob = trap.repository.git('rev-parse', 'HEAD~1:a.yaml');
    rmSync(join(trap.repository.path, '.git', 'objects', blob.slice(0, 2), blob.slice(2)));
    for (const [key, value] of [
      ['core.repositoryFormatVersion', '1'],
      ['extensions.partialClone', 'origin'],
      ['remote.origin.promisor', 'true'],
      ...remotes[title]!(trap.program),
    ] as [string, string][])
      trap.repository.git('config', key, value);
    for (const call of [
      ['compare', 'HEAD~1'],
      ['compare', 'HEAD~1..HEAD'],
    ]) {
      const { status, err } = await trap.repository.run(call);
      expect({ status, err }).toEqual({
        status: 3,
        err: expect.stringMatching(/^error: the clone lacks the content of a\.yaml at HEAD~1; /),
      });
    }
    expect(trap.ran()).toBe('');
  });

  it('a replaced object is not taken for the one that was committed', async () => {
    const trap = place();
    trap.repository.write({ 'other.yaml': A.replace('22', '20') });
    const [real, other] = ['HEAD:a.yaml', ''].map(name =>
      name === ''
        ? trap.repository.git('hash-object', '-w', '--no-filters', 'other.yaml')
        : trap.repository.git('rev-parse', name),
    );
    trap.repository.git('replace', real!, other!);
    const { out } = await trap.repository.run(['compare', 'HEAD~1..HEAD']);
    expect(out).toContain('needle.length');
    expect(out).not.toContain('needle.gauge');
  });
});

describe('what the caller has set', () => {
  const before = { ...process.env };
  afterEach(() => {
    for (const key of Object.keys(process.env)) if (!(key in before)) delete process.env[key];
    Object.assign(process.env, before);
  });

  it('for git does not lead it elsewhere', async () => {
    const trap = place();
    const other = testRepository({ 'x.yaml': A });
    outside.push(other);
    Object.assign(process.env, {
      GIT_DIR: join(other.path, '.git'),
      GIT_WORK_TREE: other.path,
      GIT_INDEX_FILE: join(other.path, 'nowhere'),
      GIT_OBJECT_DIRECTORY: join(other.path, '.git', 'objects'),
      GIT_EXTERNAL_DIFF: trap.program,
      GIT_CONFIG_COUNT: '1',
      GIT_CONFIG_KEY_0: 'core.fsmonitor',
      GIT_CONFIG_VALUE_0: trap.program,
      GIT_SSH_COMMAND: trap.program,
    });
    const { status, out } = await trap.repository.run(['check', '--since', 'HEAD', '--json']);
    expect(status).toBe(0);
    expect(JSON.parse(out).map((one: { recipe: string }) => one.recipe)).toEqual(['a.yaml']);
    expect(trap.ran()).toBe('');
  });

  it('as path of programs does not lead to a git among the files', async () => {
    const trap = place();
    cpSync(trap.program, join(trap.repository.path, 'git'));
    cpSync(trap.program, join(trap.repository.path, 'line', 'git'));
    process.env['PATH'] = ['.', '', 'line', trap.repository.path, before['PATH']].join(delimiter);
    const here = process.cwd();
    process.chdir(trap.repository.path);
    try {
      await runAll(trap);
    } finally {
      process.chdir(here);
    }
    expect(trap.ran()).toBe('');
  });
});

describe('words that git would take for options', () => {
  it.each([
    ['--help...HEAD', '--help'],
    ['HEAD...--help', '--help'],
    ['--output=x..HEAD', '--output=x'],
    ['-h', '-h'],
    ['HEAD..-p', '-p'],
    ['^HEAD', '^HEAD'],
    ['HEAD^{tree}', 'HEAD^{tree}'],
    [':a.yaml', ':a.yaml'],
    ['--end-of-options', '--end-of-options'],
    ['HEAD\n--help', 'HEAD\n--help'],
  ])('%j is no revision: status 2, in one line', async (word, part) => {
    const trap = place();
    const no = (revision: string) => ({
      status: 2,
      out: '',
      err: `error: ${JSON.stringify(revision)} is no revision of this repository\n`,
    });
    expect(await trap.repository.run(['compare', '--', word])).toEqual(no(part));
    expect(await trap.repository.run(['check', `--since=${word}`])).toEqual(no(word));
    expect(readdirSync(trap.repository.path).sort()).toEqual(['.git', 'a.yaml', 'line', 'parts']);
  });
});

describe('git', () => {
  it('is called in one file alone', () => {
    const src = join(import.meta.dirname, '..', '..', 'src');
    const files = readdirSync(src, { recursive: true, encoding: 'utf8' }).filter(name => name.endsWith('.ts'));
    expect(files.filter(name => /child_process/.test(readFileSync(join(src, name), 'utf8')))).toEqual(['files/git.ts']);
  });
});

describe('a repository that never answers', () => {
  it('is given up', () => {
    const trap = place();
    execFileSync('mkfifo', [join(trap.repository.path, '.git', 'pipe')]);
    trap.set('include.path', 'pipe');
    expect(() => git(trap.repository.path, 'rev-parse', ['HEAD'], { patience: 500 })).toThrow(
      'git rev-parse: no answer within 0.5 s',
    );
  });
});
