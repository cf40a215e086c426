import { paragraph } from '../report/words/paragraph.ts';
import type { CommandEntry } from './terminal/command.ts';
import type { CliIo } from './terminal/io.ts';

const INTRODUCTION = 'Process engineering for injecting two-part epoxy into fibre-optic connectors, from YAML recipes.';

const AFTER = `Exit status:
  0   done and sound
  1   the recipe or the data fails a check, or cannot be computed
  2   wrong usage, or a folder or pattern in which there is no recipe
  3   a file cannot be read or written
  70  a fault of ours

\`dwellbook help <command>\`, or \`<command> --help\`, shows options, examples and cautions.
Results are starting points: prove them on scrap connectors. Data sheets, manuals, local
codes and licensed practice come first.
`;

/**
 * Help of the program itself. Written here and not by the parser, whose import alone would be a fifth of the time that
 * `--help` takes.
 */
export function rootHelp(commands: readonly CommandEntry[], columns: number): string {
  const width = Math.max(...commands.map(({ name }) => name.length));
  const groups = [...new Set(commands.map(({ group }) => group))].map(group => {
    const rows = commands
      .filter(command => command.group === group)
      .map(({ name, summary }) => row(name.padEnd(width), summary, columns));
    return `${group}\n${rows.join('\n')}\n`;
  });
  const usage = 'Usage: dwellbook <command> [recipe…] [options]\n       dwellbook --version\n';
  return [usage, `${paragraph(INTRODUCTION, columns)}\n`, ...groups, AFTER].join('\n');
}

function row(name: string, summary: string, columns: number): string {
  const head = `  ${name}  `;
  return head + paragraph(summary, columns, ' '.repeat(head.length)).trimStart();
}

/** Characters a line: those of the terminal, 40 at the least; 80 where there is none. */
export function columnsOf(io: Pick<CliIo, 'columns'>): number {
  return Math.max(40, io.columns ?? 80);
}
