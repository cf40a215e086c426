import { visibleText } from '../../diagnostics/visible-text.ts';

/** The colours of `Style`, and no others: some hide what follows. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: this is what a colour begins with
const COLOURS = /(\u001b\[(?:1|2|22|31|32|33|39)m)/;

/**
 * Text that a terminal obeys in nothing but its colours, in which nothing hides. Names of files and folders come from whoever wrote them.
 * A return stays at either end of a text, by which a line of progress takes itself back.
 */
export function harmlessText(text: string): string {
  if (text.startsWith('\r')) return `\r${harmlessText(text.slice(1))}`;
  if (text.endsWith('\r')) return `${harmlessText(text.slice(0, -1))}\r`;
  return text
    .split(COLOURS)
    .map((part, i) => (i % 2 === 1 ? part : visibleText(part)))
    .join('');
}
