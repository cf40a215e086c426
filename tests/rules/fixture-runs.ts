import { readdirSync, readFileSync } from 'node:fs';
import { isAbsolute, join, relative } from 'node:path';
import { checkedRecipe } from '../../src/cli/check/check-recipe.ts';
import { runProgram } from '../../src/cli/program.ts';
import type { Diagnostic } from '../../src/diagnostics/finding.ts';
import { nodeFileSystem } from '../../src/files/node-file-system.ts';
import { loadRecipe } from '../../src/recipe/format/load.ts';
import { fakeIo } from '../cli/fake-io.ts';

export const FIXTURES = join(import.meta.dirname, '..', 'fixtures');

/** Recipes of a folder of fixtures, by name without the ending. */
export function fixturesOf(folder: string): string[] {
  return readdirSync(join(FIXTURES, folder))
    .filter(name => name.endsWith('.yaml'))
    .map(name => name.slice(0, -'.yaml'.length))
    .sort();
}

/** The code that a fixture is about: a second one of a code has `~` and what it shows in its name. */
export const codeOf = (name: string): string => name.split('~')[0]!;

export function expectedLines(folder: string, name: string): string {
  return readFileSync(join(FIXTURES, folder, `${name}.out`), 'utf8');
}

/** What `check` finds in a fixture. */
export async function checkFixture(folder: string, name: string): Promise<readonly Diagnostic[]> {
  const loaded = await loadRecipe(join(FIXTURES, folder, `${name}.yaml`), nodeFileSystem, { root: FIXTURES });
  return checkedRecipe(loaded, false).diagnostics;
}

/** What the command of the fixture's `# run:` line says with `--json`. */
export async function runFixture(folder: string, name: string): Promise<readonly Diagnostic[]> {
  const file = join(folder, `${name}.yaml`);
  const [, line = ''] = /^# run: (.*)$/m.exec(readFileSync(join(FIXTURES, file), 'utf8')) ?? [];
  const [command = '', ...options] = [...line.matchAll(/"([^"]*)"|(\S+)/g)].map(match => match[1] ?? match[2] ?? '');
  const words = options.includes('{}') ? options.map(word => (word === '{}' ? file : word)) : [file, ...options];
  const io = fakeIo(fixtureFiles());
  await runProgram([command, ...words, '--root', '.', '--json'], io);
  if (io.out() === '') throw new Error(`${file}: ${io.err()}`);
  return (JSON.parse(io.out()) as { diagnostics: Diagnostic[] }).diagnostics;
}

/** Recipes, their parts and the data beside them, as bytes: some are no text. */
function fixtureFiles(): Record<string, Uint8Array> {
  const names = readdirSync(FIXTURES, { recursive: true, encoding: 'utf8' }).filter(name => /\.(yaml|csv)$/.test(name));
  return Object.fromEntries(names.map(name => [name, readFileSync(join(FIXTURES, name))]));
}

/** `line:col: message [code]`, with the part in front where it does not stand in the recipe itself. */
export function lineOf(d: Diagnostic, folder: string, name: string): string {
  const file = isAbsolute(d.file) ? relative(FIXTURES, d.file) : d.file;
  const where = file === join(folder, `${name}.yaml`) ? '' : `${file}:`;
  return `${where}${d.line}:${d.column}: ${d.message} [${d.code}]\n`;
}
