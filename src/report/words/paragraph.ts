import type { View } from './view.ts';

/** Text broken at spaces into lines of at most `columns` characters, each after `indent`. */
export function paragraph(text: string, columns: number, indent = ''): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/)) {
    if (line !== '' && indent.length + line.length + 1 + word.length > columns) {
      lines.push(indent + line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, indent + line].join('\n');
}

/** A line that programs may read: one line, and on a terminal as many as its width asks for. */
export function lineFor({ wraps, columns }: View, text: string): string {
  return wraps === true ? paragraph(text, columns) : text;
}

/** Blocks of text with an empty line between; empty ones are left out. */
export function blocksText(blocks: readonly string[]): string {
  return blocks.filter(text => text !== '').join('\n\n');
}
