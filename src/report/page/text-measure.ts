import PDFDocument from 'pdfkit';
import { setFont } from './kept-shapes.ts';
import type { FontName } from './marks.ts';

/** Bytes of the three TrueType fonts that sheets embed. */
export interface FontFiles {
  readonly regular: Uint8Array;
  readonly medium: Uint8Array;
  readonly semibold: Uint8Array;
}

export const FONT_NAMES: readonly FontName[] = ['regular', 'medium', 'semibold'];

/** Points in a millimetre. */
export const PT_PER_MM = 72 / 25.4;

/**
 * OpenType features of a text: figures of one width where the text is a number, a range or a clock time alone, so that columns line up, and no
 * contextual swaps, so that what is read back from the file is what was written ("->" stays two characters, "12x8" keeps
 * its x).
 *
 * @internal Its type is pdfkit's, which users of the package do not have.
 */
export function fontFeatures(text: string): PDFKit.Mixins.OpenTypeFeatures[] {
  const features = /^[\d\s.,:+\u2013\u2212\u00b1%-]*$/.test(text) ? { tnum: true, calt: false } : { calt: false };
  return features as unknown as PDFKit.Mixins.OpenTypeFeatures[]; // the types know only the list, fontkit takes both
}

/** Width [mm] of a text set in a font at a size [pt]. */
export type TextMeasure = (text: string, font: FontName, size: number) => number;

/** Measures text with the very fonts and features that `drawPdf` draws with. */
export function textMeasure(fonts: FontFiles): TextMeasure {
  // `font: null` keeps pdfkit from loading the metrics of a standard font that nothing here uses
  const doc = new PDFDocument({ autoFirstPage: false, font: null as unknown as string });
  for (const name of FONT_NAMES) doc.registerFont(name, Buffer.from(fonts[name]));
  const known = new Map<string, number>(); // width at 1 pt [mm]
  return (text, font, size) => {
    const key = `${font}\n${text}`;
    let width = known.get(key);
    if (width === undefined) {
      width = setFont(doc, fonts, font, 1000).widthOfString(text, { features: fontFeatures(text) }) / 1000 / PT_PER_MM;
      known.set(key, width);
    }
    return width * size;
  };
}

/**
 * Width [mm] of a text when no font is at hand (SVG is set in whatever the viewer has): the average advance of a
 * sans-serif by kind of character, a little on the wide side so that labels do not collide.
 */
export const approximateMeasure: TextMeasure = (text, font, size) => {
  let em = 0;
  for (const c of text) em += NARROW.has(c) ? 0.32 : c >= 'A' && c <= 'Z' ? 0.72 : 0.6;
  return (em * size * (font === 'regular' ? 1 : 1.05)) / PT_PER_MM;
};

const NARROW = new Set(" .,:;|'!()[]iljtfr");
