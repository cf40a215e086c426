import type { AddHelpTextContext } from 'commander';
import { paragraph } from '../../report/words/paragraph.ts';

/** Text after the options of a command, its paragraphs broken at the width of the terminal; indented lines stay as they are. */
export function notes(text: string): (context: AddHelpTextContext) => string {
  return ({ command }) => {
    const columns = command.configureOutput().getOutHelpWidth?.() ?? 80;
    const blocks = text.trim().split(/\n{2,}/);
    return `\n${blocks.map(block => (/^ /m.test(block) ? block : paragraph(block, columns))).join('\n\n')}\n`;
  };
}
