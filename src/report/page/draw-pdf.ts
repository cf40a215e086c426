import PDFDocument from 'pdfkit';
import { circleCommands } from './circle-commands.ts';
import { setFont } from './kept-shapes.ts';
import type { Block, BoxMark, LineMark, Mark, PathMark, SheetDocument, TextMark } from './marks.ts';
import { FONT_NAMES, type FontFiles, fontFeatures, PT_PER_MM } from './text-measure.ts';

/**
 * Bytes of a PDF of the laid-out pages: fonts embedded, structure tagged, title shown, printed without scaling.
 * Nothing but the arguments goes in, and streams are stored uncompressed, so that the same document gives the same bytes
 * with every version of the compression library.
 */
export async function drawPdf(sheet: SheetDocument, fonts: FontFiles): Promise<Uint8Array> {
  const doc = new PDFDocument({
    autoFirstPage: false,
    bufferPages: true, // the structure tree refers to all pages until the end
    compress: false,
    pdfVersion: '1.7',
    tagged: true,
    displayTitle: true,
    lang: sheet.lang,
    font: null as unknown as string, // no standard font: every font is embedded
    info: {
      Title: sheet.title,
      Subject: sheet.subject,
      Creator: sheet.creator,
      Producer: sheet.creator,
      CreationDate: sheet.created,
      ModDate: sheet.created,
    },
  });
  printUnscaled(doc);
  escapeMetadata(doc);
  const bytes = collect(doc);
  for (const name of FONT_NAMES) doc.registerFont(name, Buffer.from(fonts[name]));
  const top: PDFKit.PDFStructureElement[] = [];
  for (const page of sheet.pages) {
    doc.addPage({ size: [page.width * PT_PER_MM, page.height * PT_PER_MM], margin: 0 });
    for (const block of page.blocks) top.push(...drawBlock({ doc, fonts }, block));
  }
  doc.addStructure(doc.struct('Document', {}, top));
  doc.end();
  return bytes;
}

/** What pdfkit keeps to itself and its types do not name. */
interface Inside {
  _root: { data: { ViewerPreferences: { data: Record<string, unknown> } } };
  info: Record<string, unknown>;
  endMetadata(): void;
}

/** Adds to the viewer preferences that pdfkit has made; a new object in their place would leave a dangling entry. */
function printUnscaled(doc: PDFKit.PDFDocument): void {
  (doc as unknown as Inside)._root.data.ViewerPreferences.data.PrintScaling = 'None';
}

/** pdfkit puts the information texts into XML as they are; a recipe named "A & B" must not break it. */
function escapeMetadata(doc: PDFKit.PDFDocument): void {
  const inside = doc as unknown as Inside;
  const endMetadata = inside.endMetadata;
  inside.endMetadata = () => {
    const plain = inside.info;
    inside.info = Object.fromEntries(
      Object.entries(plain).map(([key, value]) => [key, typeof value === 'string' ? escapeXml(value) : value]),
    );
    endMetadata.call(inside);
    inside.info = plain;
  };
}

function escapeXml(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;');
}

function collect(doc: PDFKit.PDFDocument): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const chunks: Uint8Array[] = [];
    doc.on('data', (chunk: Uint8Array) => chunks.push(chunk));
    doc.on('end', () => resolve(new Uint8Array(Buffer.concat(chunks))));
    doc.on('error', reject);
  });
}

/** A document and the fonts that are registered with it. */
interface Paper {
  readonly doc: PDFKit.PDFDocument;
  readonly fonts: FontFiles;
}

/** Draws a block and gives its structure elements: one, or none for an artifact. */
function drawBlock(paper: Paper, block: Block): PDFKit.PDFStructureElement[] {
  const { doc } = paper;
  if (block.tag === 'Artifact') {
    doc.markContent('Artifact', { type: 'Layout' });
    for (const mark of block.marks ?? []) drawMark(paper, mark);
    doc.endMarkedContent();
    return [];
  }
  const children: (PDFKit.PDFStructureElement | PDFKit.PDFStructureContent)[] = [];
  if (block.marks !== undefined && block.marks.length > 0) {
    children.push(doc.markStructureContent(block.tag));
    for (const mark of block.marks) drawMark(paper, mark);
    doc.endMarkedContent();
  }
  for (const child of block.blocks ?? []) children.push(...drawBlock(paper, child));
  const options = {
    ...(block.alt !== undefined && { alt: block.alt }),
    ...(block.scope !== undefined && { scope: block.scope }),
  };
  return [doc.struct(block.tag, options, children as never)];
}

function drawMark(paper: Paper, mark: Mark): void {
  const { doc } = paper;
  doc.save();
  switch (mark.kind) {
    case 'text':
      drawText(paper, mark);
      break;
    case 'line':
      drawLine(doc, mark);
      break;
    case 'circle':
      drawShape(doc, { ...mark, kind: 'path', commands: circleCommands(mark) });
      break;
    case 'path':
      drawShape(doc, mark);
      break;
    case 'box':
      drawBox(doc, mark);
      break;
  }
  doc.restore();
}

function drawText({ doc, fonts }: Paper, mark: TextMark): void {
  const x = mark.x * PT_PER_MM;
  const y = mark.y * PT_PER_MM;
  if (mark.angle) doc.rotate(-mark.angle, { origin: [x, y] });
  setFont(doc, fonts, mark.font, mark.size).fillColor('black');
  const features = fontFeatures(mark.text);
  const width = doc.widthOfString(mark.text, { features });
  const shift = mark.align === 'right' ? width : mark.align === 'center' ? width / 2 : 0;
  doc.text(mark.text, x - shift, y, { lineBreak: false, baseline: 'alphabetic', features });
}

function drawLine(doc: PDFKit.PDFDocument, mark: LineMark): void {
  pen(doc, mark);
  doc
    .moveTo(mark.x1 * PT_PER_MM, mark.y1 * PT_PER_MM)
    .lineTo(mark.x2 * PT_PER_MM, mark.y2 * PT_PER_MM)
    .stroke();
}

function drawBox(doc: PDFKit.PDFDocument, mark: BoxMark): void {
  inks(doc, mark);
  doc.rect(mark.x * PT_PER_MM, mark.y * PT_PER_MM, mark.boxWidth * PT_PER_MM, mark.boxHeight * PT_PER_MM);
  paint(doc, mark);
}

function drawShape(doc: PDFKit.PDFDocument, mark: PathMark): void {
  inks(doc, mark);
  for (const c of mark.commands) {
    if (c[0] === 'M') doc.moveTo(c[1] * PT_PER_MM, c[2] * PT_PER_MM);
    else if (c[0] === 'L') doc.lineTo(c[1] * PT_PER_MM, c[2] * PT_PER_MM);
    else if (c[0] === 'Z') doc.closePath();
    else {
      const [x1, y1, x2, y2, x, y] = c.slice(1).map(v => (v as number) * PT_PER_MM);
      doc.bezierCurveTo(x1!, y1!, x2!, y2!, x!, y!);
    }
  }
  paint(doc, mark);
}

/** Pen and colours go before the path: between a path and its painting the format allows no other operator. */
function inks(doc: PDFKit.PDFDocument, mark: PathMark | BoxMark): void {
  if (mark.width > 0) pen(doc, mark);
  if (mark.fill !== undefined) doc.fillColor(mark.fill);
}

function paint(doc: PDFKit.PDFDocument, mark: PathMark | BoxMark): void {
  if (mark.fill !== undefined && mark.width > 0) doc.fillAndStroke();
  else if (mark.fill !== undefined) doc.fill();
  else doc.stroke();
}

function pen(doc: PDFKit.PDFDocument, mark: Pick<PathMark, 'width' | 'dash' | 'phase' | 'cap'>): void {
  doc.lineWidth(mark.width * PT_PER_MM);
  doc.lineCap(mark.cap ?? 'butt');
  doc.strokeColor('black');
  if (mark.dash) {
    const phase = (mark.phase ?? 0) * PT_PER_MM;
    doc.dash(mark.dash.map(v => v * PT_PER_MM) as unknown as number, { phase });
  }
}
