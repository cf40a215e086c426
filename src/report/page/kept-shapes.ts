import type { FontName } from './marks.ts';
import type { FontFiles } from './text-measure.ts';

/** What pdfkit keeps to itself of a font: glyphs and places of a text, the costly part of setting it. */
interface ShapingFont {
  layoutRun(text: string, features?: object): object;
}

/** Shaped texts by the bytes of their font; a sheet has some hundred. */
const SHAPES = new WeakMap<Uint8Array, Map<string, object>>();
const MOST_SHAPES = 2_000;
const KEEPING = new WeakSet<ShapingFont>();

/**
 * Sets font and size [pt] of a document, and lets each text be shaped once for all documents with that font: to be
 * measured, placed and drawn. A shape is only read, and belongs to the font's bytes and not to a document.
 */
export function setFont(doc: PDFKit.PDFDocument, fonts: FontFiles, name: FontName, size: number): PDFKit.PDFDocument {
  doc.font(name, size);
  const font = (doc as unknown as { _font: ShapingFont })._font;
  if (KEEPING.has(font)) return doc;
  KEEPING.add(font);
  const shapes = SHAPES.get(fonts[name]) ?? new Map<string, object>();
  SHAPES.set(fonts[name], shapes);
  const shape = font.layoutRun.bind(font);
  font.layoutRun = (text, features) => {
    const key = `${JSON.stringify(features)} ${text}`;
    const known = shapes.get(key);
    if (known !== undefined) return known;
    const made = shape(text, features);
    if (shapes.size >= MOST_SHAPES) shapes.clear();
    shapes.set(key, made);
    return made;
  };
  return doc;
}
