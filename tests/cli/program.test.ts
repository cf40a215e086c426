import { describe, expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/command-list.ts';
import { runProgram } from '../../src/cli/program.ts';
import type { Call, CommandEntry, CommandModule } from '../../src/cli/terminal/command.ts';
import { CallFileError, UsageError } from '../../src/cli/terminal/exit-status.ts';
import { fakeIo } from './fake-io.ts';

/** A program of two commands that record what they were called with. */
function program(run: (call: Call) => Promise<0 | 1 | 2 | 3 | 70> = async () => 0) {
  const calls: Call[] = [];
  const loaded: string[] = [];
  const command: CommandModule = {
    define: command => void command.argument('[words...]').option('--pressure <quantity>', 'air pressure'),
    run: async call => {
      calls.push(call);
      return run(call);
    },
  };
  const entry = (name: string): CommandEntry => ({
    name,
    summary: `does ${name}`,
    group: 'Things:',
    load: async () => {
      loaded.push(name);
      return { command };
    },
  });
  return { commands: [entry('measure'), entry('mix')], calls, loaded };
}

describe('the program', () => {
  it('--help lists every command and the exit statuses, imports none, and ends with 0', async () => {
    const { commands, loaded } = program();
    const io = fakeIo();
    expect(await runProgram(['--help'], io, commands)).toBe(0);
    expect(io.out()).toMatch(/measure .*does measure[\s\S]*mix .*does mix[\s\S]*70 +a fault of ours/);
    expect(io.err()).toBe('');
    expect(loaded).toEqual([]);
  });

  it('imports the invoked command alone', async () => {
    const { commands, loaded } = program();
    expect(await runProgram(['mix'], fakeIo(), commands)).toBe(0);
    expect(loaded).toEqual(['mix']);
  });

  it.each([
    ['help', 'mix'],
    ['mix', '--help'],
    ['mix', '-h'],
  ])('%s %s shows the help of the command', async (...argv) => {
    const { commands, calls } = program();
    const io = fakeIo();
    expect(await runProgram(argv, io, commands)).toBe(0);
    expect(io.out()).toMatch(/^Usage: dwellbook mix[\s\S]*--pressure <quantity>[\s\S]*--json/);
    expect(calls).toEqual([]);
  });

  it('help alone is --help', async () => {
    const { commands } = program();
    const [word, flag] = [fakeIo(), fakeIo()];
    expect(await runProgram(['help'], word, commands)).toBe(0);
    await runProgram(['--help'], flag, commands);
    expect(word.out()).toBe(flag.out());
  });

  it('no command at all is wrong usage, with the help on standard error', async () => {
    const { commands } = program();
    const io = fakeIo();
    expect(await runProgram([], io, commands)).toBe(2);
    expect(io.out()).toBe('');
    expect(io.err()).toContain('measure');
  });

  it.each([
    [['mis'], /unknown command 'mis'[\s\S]*Did you mean mix\?/],
    [['help', 'mis'], /unknown command 'mis'[\s\S]*Did you mean mix\?/],
    [['mis', '--json'], /unknown command 'mis'[\s\S]*Did you mean mix\?/],
    [['mix', '--presure', '3'], /unknown option '--presure'[\s\S]*Did you mean --pressure\?/],
    [['mix', '--pressure'], /argument missing/],
    [['mix', '--format', 'xml'], /Allowed choices are text, json/],
    [['mix', '--json', '--format', 'text'], /--json and --format text exclude each other/],
    [['--jsn'], /unknown option '--jsn'/],
  ])('%j is wrong usage', async (argv, message) => {
    const { commands, calls } = program();
    const io = fakeIo();
    expect(await runProgram(argv, io, commands)).toBe(2);
    expect(io.err()).toMatch(message);
    expect(io.out()).toBe('');
    expect(calls).toEqual([]);
  });

  it('reads the common options', async () => {
    const { commands, calls } = program();
    await runProgram(['mix', 'a', 'b', '--json', '-o', 'x.json', '--pressure', '30 psi'], fakeIo(), commands);
    expect(calls[0]).toMatchObject({ args: ['a', 'b'], format: 'json', out: 'x.json', flags: { pressure: '30 psi' } });
  });

  it.each([
    [undefined, 80],
    [120, 120],
    [12, 40],
  ])('a terminal of %s columns gives lines of %s', async (columns, expected) => {
    const { commands, calls } = program();
    await runProgram(['mix'], fakeIo({}, { columns }), commands);
    expect(calls[0]?.view.columns).toBe(expected);
  });

  it('the status of the command is the status of the program', async () => {
    expect(await runProgram(['mix'], fakeIo(), program(async () => 1).commands)).toBe(1);
  });

  it.each([
    [new UsageError('say which'), 2, 'error: say which\n'],
    [new CallFileError('x.yaml: permission denied'), 3, 'error: x.yaml: permission denied\n'],
    [
      Object.assign(new Error('ENOSPC: no space left on device, write'), { code: 'ENOSPC', syscall: 'write' }),
      3,
      'error: no space is left on the device\n',
    ],
    [
      Object.assign(new Error('EACCES'), { code: 'EACCES', syscall: 'open', path: 'a.yaml' }),
      3,
      'error: a.yaml: permission denied\n',
    ],
    [
      Object.assign(new Error('ESTALE'), { code: 'ESTALE', syscall: 'read', path: 'a.yaml' }),
      3,
      'error: a.yaml: the system reports ESTALE\n',
    ],
  ])('%s ends the program with %i and one plain message', async (thrown, status, message) => {
    const io = fakeIo();
    const { commands } = program(async () => {
      throw thrown;
    });
    expect(await runProgram(['mix'], io, commands)).toBe(status);
    expect(io.err()).toBe(message);
  });

  it('a fault of ours is 70, without a stack unless --trace asks for it', async () => {
    const { commands } = program(async () => {
      throw new TypeError('x is not a function');
    });
    const [plain, traced] = [fakeIo(), fakeIo()];
    expect(await runProgram(['mix'], plain, commands)).toBe(70);
    expect(plain.err()).toBe(
      'fault: x is not a function\nThis is a fault in dwellbook, not in your files. Run it again with --trace to see where.\n',
    );
    expect(await runProgram(['mix', '--trace'], traced, commands)).toBe(70);
    expect(traced.err()).toContain('program.test.ts');
  });
});

describe('the command list', () => {
  it('has each name once', () => {
    const names = COMMANDS.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
  });

  it.each(COMMANDS.map(({ name }) => name))('%s --help has examples and the common options', async name => {
    const io = fakeIo();
    expect(await runProgram([name, '--help'], io)).toBe(0);
    expect(io.err()).toBe('');
    expect(io.out()).toMatch(/Examples:\n {2}\$ dwellbook/);
    expect(io.out()).toContain('--json');
    for (const line of io.out().split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  });
});
