import type { FontName, TextMark } from './marks.ts';
import type { TextMeasure } from './text-measure.ts';

export interface TextStyle {
  readonly font: FontName;
  /** [pt] */
  readonly size: number;
}

/** Control characters and line ends become single spaces: a page has its own lines. */
export function plainText(text: string): string {
  return text.replace(/[\p{Cc}\p{Zl}\p{Zp}\s]+/gu, ' ').trim();
}

/**
 * The text, or as much of it as fits the width [mm] with an ellipsis at its end.
 * Cuts between code points, never inside one.
 */
export function fitText(text: string, width: number, style: TextStyle, measure: TextMeasure): string {
  const whole = plainText(text);
  if (measure(whole, style.font, style.size) <= width) return whole;
  const letters = [...whole];
  let low = 0;
  let high = letters.length;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    const cut = `${letters.slice(0, middle).join('').trimEnd()}…`;
    if (measure(cut, style.font, style.size) <= width) low = middle;
    else high = middle - 1;
  }
  return `${letters.slice(0, low).join('').trimEnd()}…`;
}

/**
 * Lines of a text broken at spaces to a width [mm]; a word longer than the width is broken where it must. With `lines`
 * the last line ends in an ellipsis when there is more text.
 */
export function wrapText(
  text: string,
  width: number,
  style: TextStyle,
  measure: TextMeasure,
  lines = Number.POSITIVE_INFINITY,
): string[] {
  const fits = (s: string) => measure(s, style.font, style.size) <= width;
  const out: string[] = [];
  let rest = plainText(text);
  while (rest !== '' && out.length < lines) {
    if (fits(rest)) {
      out.push(rest);
      rest = '';
    } else if (out.length === lines - 1) {
      out.push(fitText(rest, width, style, measure));
      rest = '';
    } else {
      const end = breakAt(rest, fits);
      out.push(rest.slice(0, end).trimEnd());
      rest = rest.slice(end).trimStart();
    }
  }
  return out;
}

/** Where to end the first line: after the last word that fits, or inside the first word. */
function breakAt(text: string, fits: (s: string) => boolean): number {
  let end = 0;
  for (let i = text.indexOf(' '); i >= 0 && fits(text.slice(0, i)); i = text.indexOf(' ', i + 1)) end = i;
  if (end > 0) return end;
  const letters = [...text];
  let n = 1;
  while (n < letters.length && fits(letters.slice(0, n + 1).join(''))) n++;
  return letters.slice(0, n).join('').length;
}

export interface ParagraphBox extends TextStyle {
  readonly x: number;
  /** Baseline of the first line [mm]. */
  readonly y: number;
  /** Width to break at [mm]. */
  readonly width: number;
  /** Baseline to baseline [mm]. */
  readonly leading: number;
  /** Most lines; more text ends in an ellipsis. */
  readonly lines?: number;
}

/** A text set as lines in a box, flush left. */
export function paragraph(text: string, box: ParagraphBox, measure: TextMeasure): TextMark[] {
  return wrapText(text, box.width, box, measure, box.lines).map((line, i) => ({
    kind: 'text',
    x: box.x,
    y: box.y + i * box.leading,
    text: line,
    font: box.font,
    size: box.size,
  }));
}
