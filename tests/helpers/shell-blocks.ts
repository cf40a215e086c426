import { expect } from 'vitest';

export interface ShellBlock {
  readonly command: string;
  /** What it prints, as the text shows it; `…` stands for lines left out. */
  readonly lines: readonly string[];
}

/** The commands of a page, `$ command` in a fence with what it prints below it. */
export function shellBlocks(text: string): ShellBlock[] {
  return [...text.matchAll(/^```\n([\s\S]*?)^```$/gm)].flatMap(([, block = '']) =>
    block.split(/^(?=\$ )/m).map(one => {
      const [command = '', ...lines] = one.replace(/\n+$/, '').split('\n');
      return { command: command.replace(/^\$ /, ''), lines };
    }),
  );
}

/**
 * Holds what was printed to the lines of a page. Between two `…` the lines stand together and in order; without one at an
 * end the text begins or ends there.
 */
export function expectLines(output: string, lines: readonly string[]): void {
  const printed = output === '' ? [] : output.replace(/\n+$/, '').split('\n');
  let at = 0;
  let free = false;
  for (const [i, line] of lines.entries()) {
    if (line === '…') {
      free = true;
      continue;
    }
    if (free) {
      // the whole stretch has to be found, not its first line alone
      const stretch = lines.slice(i, (lines.indexOf('…', i) + 1 || lines.length + 1) - 1);
      while (at < printed.length && !stretch.every((text, k) => printed[at + k] === text)) at++;
      free = false;
    }
    expect(printed[at]).toBe(line);
    at++;
  }
  if (!free) expect(printed.slice(at)).toEqual([]);
}

/** Words of a line of shell without variables: spaces part them, double quotes keep them together. */
export function shellWords(line: string): string[] {
  return [...line.matchAll(/"([^"]*)"|(\S+)/g)].map(([, quoted, bare]) => quoted ?? bare!);
}
