import { spawnSync } from 'node:child_process';
import { beforeAll, describe, expect, it } from 'vitest';
import { COMMANDS } from '../../../src/cli/command-list.ts';
import { commandWords } from '../../../src/cli/completion/command-words.ts';
import { runProgram } from '../../../src/cli/program.ts';
import { recipeKeys } from '../../../src/recipe/format/recipe-keys.ts';
import { fakeIo } from '../fake-io.ts';

async function script(shell: string): Promise<string> {
  const io = fakeIo();
  expect(await runProgram(['completion', shell], io)).toBe(0);
  return io.out();
}

const isInstalled = (shell: string) => spawnSync(shell, ['-c', 'exit 0']).status === 0;

let bash = '';
beforeAll(async () => {
  bash = await script('bash');
});

/** What bash offers for the last of these words. */
function offered(...words: string[]): string[] {
  const list = words.map(word => `'${word}'`).join(' ');
  const code = `${bash}\nCOMP_WORDS=(${list}); COMP_CWORD=${words.length - 1}; _dwellbook; printf '%s\\n' "\${COMPREPLY[@]}"`;
  const { stdout, stderr, status } = spawnSync('bash', ['--norc', '-c', code], {
    encoding: 'utf8',
    cwd: import.meta.dirname,
  });
  expect({ status, stderr: stderr.replace(/.*compopt.*\n/g, '') }).toEqual({ status: 0, stderr: '' });
  return stdout.split('\n').filter(word => word !== '');
}

describe('completion bash', () => {
  it('offers every command, and `help` for each', () => {
    expect(offered('dwellbook', '')).toEqual([...COMMANDS.map(({ name }) => name), 'help', '--help', '--version']);
    expect(offered('dwellbook', 'se')).toEqual(['setpoint']);
    expect(offered('dwellbook', 'help', 'comp')).toEqual(['compare', 'completion']);
  });

  it('offers every option of the command and no other', async () => {
    for (const { name } of COMMANDS) {
      const io = fakeIo({}, { columns: 200 });
      await runProgram([name, '--help'], io);
      // The options as the help lists them, each on a line of its own.
      const listed = [...io.out().matchAll(/^ {2}(?:(-\w), )?(--[\w-]+)/gm)].flatMap(([, short, long]) =>
        short ? [short, long] : [long],
      );
      expect([...offered('dwellbook', name, '-')].sort(), name).toEqual([...listed].sort());
    }
  });

  it('offers what an option takes', () => {
    expect(offered('dwellbook', 'check', '--format', 's')).toEqual(['sarif']);
    expect(offered('dwellbook', 'gauge', '--paper', '')).toEqual(['a4', 'letter']);
    expect(offered('dwellbook', 'shot', 'x.yaml', '--color', 'a')).toEqual(['auto', 'always']);
    expect(offered('dwellbook', 'shot', '--pressure', '')).toEqual([]);
  });

  it('offers recipe keys after --set and --grid, ready for the value', () => {
    expect(offered('dwellbook', 'shot', '--set', 'settings.')).toContain('settings.pressure=');
    expect(offered('dwellbook', 'sweep', 'x.yaml', '--grid', 'resin.rheology.visc')).toEqual([
      'resin.rheology.viscosity=',
    ]);
    expect(offered('dwellbook', 'shot', '--set', '')).toEqual(recipeKeys().map(key => `${key}=`));
  });

  it('offers files for arguments and options that take them, codes and gauges where they are due', () => {
    expect(offered('dwellbook', 'cavity', 'completion.')).toEqual(['completion.test.ts']);
    expect(offered('dwellbook', 'cavity', '-o', 'completion.')).toEqual(['completion.test.ts']);
    expect(offered('dwellbook', 'explain', 'frozen-m')).toEqual(['frozen-moved', 'frozen-missing']);
    expect(offered('dwellbook', 'needles', '22')).toContain('22');
    expect(offered('dwellbook', 'completion', '')).toEqual(['bash', 'zsh', 'fish']);
  });
});

describe.each(['zsh', 'fish'])('completion %s', shell => {
  it('has every command, option, choice and recipe key', async () => {
    const text = await script(shell);
    const words = await commandWords(COMMANDS, fakeIo(), {});
    for (const { name, options } of words) {
      const part = shell === 'zsh' ? zshPart(text, name) : fishPart(text, name);
      for (const { flags, takes } of options) {
        for (const flag of flags) expect(part, `${name} ${flag}`).toMatch(flagPattern(shell, flag));
        if (takes.kind === 'words') expect(part, `${name} ${flags}`).toContain(takes.words.join(' '));
      }
    }
    for (const key of recipeKeys()) expect(text).toContain(shell === 'zsh' ? `'${key}'` : `'${key}='`);
  });

  it('has its quotes and brackets in pairs', async () => {
    const text = await script(shell);
    for (const line of text.split('\n').filter(line => !line.startsWith('#'))) {
      // A quote inside quotes is '\'' for zsh and \' for fish; what is left must pair on its line.
      const bare = line.replaceAll("'\\''", '').replace(/\\\\/g, '').replaceAll("\\'", '');
      expect((bare.match(/'/g) ?? []).length % 2, line).toBe(0);
    }
    const open = shell === 'zsh' ? /\bcase \$/g : /^function /gm;
    const close = shell === 'zsh' ? /^\s*esac$/gm : /^end$/gm;
    expect(text.match(open)).toHaveLength(text.match(close)!.length);
    // Where the shell is installed, it has the last word.
    if (isInstalled(shell)) {
      const { status, stderr } = spawnSync(shell, ['-n'], { input: text, encoding: 'utf8' });
      expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    }
  });
});

function zshPart(text: string, name: string): string {
  const from = text.indexOf(`\n    ${name})\n`);
  expect(from, name).toBeGreaterThan(0);
  return text.slice(from, text.indexOf(' ;;', from));
}

function fishPart(text: string, name: string): string {
  return text
    .split('\n')
    .filter(line => line.includes(`= ${name}'`) || line.includes(`-a ${name} `))
    .join('\n');
}

function flagPattern(shell: string, flag: string): RegExp {
  if (shell === 'zsh') return new RegExp(`'\\*${flag}\\[`);
  return flag.startsWith('--') ? new RegExp(`-l ${flag.slice(2)}[ \n]`) : new RegExp(`-s ${flag.slice(1)}[ \n]`);
}

describe('completion', () => {
  it('another shell is wrong usage', async () => {
    const io = fakeIo();
    expect(await runProgram(['completion', 'tcl'], io)).toBe(2);
    expect(io.err()).toMatch(/bash, zsh, fish/);
  });
});
