import type { BatchResult } from '../../analysis/batch.ts';
import type { Paper } from '../../analysis/gauge-grid.ts';
import { batchDrawings } from '../batch-chart.ts';
import { chartSheet } from '../chart/chart-sheet.ts';
import { drawPdf } from './draw-pdf.ts';
import type { SheetDocument } from './marks.ts';
import { plainText } from './set-text.ts';
import { type FontFiles, type TextMeasure, textMeasure } from './text-measure.ts';

export interface BatchSheetInput {
  readonly batch: BatchResult;
  readonly name: string;
  /** SHA-256 of the inputs in hexadecimal. */
  readonly digest: string;
  readonly creator: string;
  readonly created: Date;
  /** Default A4. */
  readonly paper?: Paper;
}

/** Bytes of the timeline as a PDF. The same input gives the same bytes. */
export async function batchPdf(input: BatchSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(batchSheet(input, textMeasure(fonts)), fonts);
}

/** The timeline of a batch as plain data, one drawing for each day. */
export function batchSheet(input: BatchSheetInput, measure: TextMeasure): SheetDocument {
  const { batch, name, creator } = input;
  return chartSheet(
    {
      drawings: batchDrawings(batch, name, measure),
      paper: input.paper ?? 'a4',
      title: `Batch: ${name}`,
      made: `${creator} · inputs ${input.digest.slice(0, 16)} · ${batch.kits} kits, ${batch.syringes} syringes, ${batch.needles} needles · ${plainText(name)}`,
      creator,
      created: input.created,
    },
    measure,
  );
}
