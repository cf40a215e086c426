import { readFonts } from '../../files/fonts.ts';
import type { Drawing } from '../../report/chart/drawing.ts';
import type { TextMeasure } from '../../report/page/text-measure.ts';
import { UsageError } from '../terminal/exit-status.ts';
import type { CliIo } from '../terminal/io.ts';
import { CREATOR, NO_DATE } from './sheet-origin.ts';

export interface Picture {
  readonly title: string;
  /** Where the data come from, for the last line of a page. */
  readonly made: string;
  /** Drawn with the measure of the fonts that the file will have; without one, as a viewer's own fonts roughly are. */
  readonly draw: (measure?: TextMeasure) => readonly Drawing[];
}

/** Whether a name asks for a picture that can be written. */
export function isPictureName(path: string): boolean {
  return /\.(?:svg|pdf)$/i.test(path);
}

/** Throws: UsageError when the name of a picture ends neither in .svg nor in .pdf. */
export function requirePictureName(path: string): void {
  if (!isPictureName(path)) throw new UsageError(`-o ${path}: a picture ends in .svg or .pdf`);
}

/** For commands that write text under other names. Throws: UsageError for the name of a picture of pixels, which text would not be. */
export function requirePictureUnlessText(path: string): void {
  if (/\.(?:png|jpe?g|gif|webp|bmp|tiff?|eps)$/i.test(path)) requirePictureName(path);
}

/** Writes drawings as SVG, one beneath the other, or as pages of a PDF, by the ending of the name. */
export async function writePicture(io: CliIo, path: string, picture: Picture): Promise<void> {
  requirePictureName(path);
  if (/\.svg$/i.test(path)) {
    const { svgText } = await import('../../report/chart/svg.ts');
    const { stackDrawings } = await import('../../report/chart/chart-block.ts');
    io.writeFile(path, svgText(stackDrawings(picture.draw())));
    return;
  }
  const [{ chartSheet }, { drawPdf }, { textMeasure }] = await Promise.all([
    import('../../report/chart/chart-sheet.ts'),
    import('../../report/page/draw-pdf.ts'),
    import('../../report/page/text-measure.ts'),
  ]);
  const fonts = readFonts();
  const measure = textMeasure(fonts);
  const sheet = chartSheet(
    {
      drawings: picture.draw(measure),
      paper: 'a4',
      title: picture.title,
      made: `${CREATOR} · ${picture.made}`,
      ...{ creator: CREATOR, created: NO_DATE },
    },
    measure,
  );
  io.writeFile(path, await drawPdf(sheet, fonts));
}
