import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import PDFDocument from 'pdfkit';
import { medianTimes, root, timeRow } from './measure.mjs';

export const title = 'A gauge sheet';

export async function rows() {
  const { gauge, gaugePdf, loadRecipe, readFonts } = await import(pathToFileURL(join(root, 'dist', 'index.js')).href);
  const { recipe, digest } = await loadRecipe(join(root, 'recipes', 'tide-gauge-pigtail.yaml'));
  const { result } = gauge(recipe, { circles: 30 });
  if (result === null) throw new Error('the demo recipe gives no gauge');
  const fonts = readFonts();
  const sheet = { gauge: result, name: 'Bench', digest, format: 1, creator: 'bench', created: new Date(0) };
  const [ours, bare] = await medianTimes([() => gaugePdf(sheet, fonts), () => bareDrawing(fonts)], 11);
  return [timeRow('one page, 30 circles of three rings', ours, bare, 'pdfkit drawing the same rings', { atMost: 3 })];
}

/** Ninety rings and a line of text in an embedded font, with nothing laid out, checked or tagged. */
function bareDrawing(fonts) {
  return new Promise((resolve, reject) => {
    const doc = new PDFDocument({ size: 'A4', compress: false, font: null });
    doc
      .on('end', resolve)
      .on('error', reject)
      .on('data', () => {});
    doc.registerFont('regular', Buffer.from(fonts.regular));
    for (let i = 0; i < 30; i += 1) {
      const [x, y] = [60 + (i % 6) * 90, 80 + Math.floor(i / 6) * 130];
      for (const radius of [12, 14, 16]) doc.circle(x, y, radius).stroke();
      doc
        .font('regular')
        .fontSize(7)
        .text(String(i + 1), x, y + 20, { lineBreak: false });
    }
    doc.end();
  });
}
