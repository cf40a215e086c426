import { PAPER_SIZES, type Paper } from '../../analysis/dot/gauge-grid.ts';
import type { Block, Page, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import { foot } from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { chartBlock } from './chart-block.ts';
import { CHART_EDGE, type Drawing } from './drawing.ts';

export interface ChartSheetInput extends Pick<SheetOrigin, 'creator' | 'created'> {
  readonly drawings: readonly Drawing[];
  readonly paper: Paper;
  readonly title: string;
  /** Last line of every page: what the charts were made from. */
  readonly made: string;
}

const MARGIN = 15; // [mm]
const GAP = 8;

/** Drawings one beneath the other from `first` on, to `last` [mm] at the most; each stays whole, on the next page if need be. */
export function drawingPages(
  drawings: readonly Drawing[],
  { first = MARGIN, last }: { readonly first?: number; readonly last: number },
): Block[][] {
  const pages: Block[][] = [[]];
  let y = first;
  for (const drawing of drawings) {
    if (y > MARGIN && y + drawing.height > last) {
      pages.push([]);
      y = MARGIN;
    }
    pages.at(-1)!.push(chartBlock(drawing, MARGIN - CHART_EDGE, y));
    y += drawing.height + GAP;
  }
  return pages;
}

/** Drawings one beneath the other, on as many pages as they need. */
export function chartSheet(input: ChartSheetInput, measure: TextMeasure): SheetDocument {
  const { width, height } = PAPER_SIZES[input.paper];
  const size = { width: width * 1000, height: height * 1000 };
  const filled = drawingPages(input.drawings, { last: size.height - MARGIN - 6 });
  const pages = filled.map((blocks, i): Page => {
    const at = { left: MARGIN, right: size.width - MARGIN, y: size.height - 10.5 };
    return { ...size, blocks: [...blocks, foot(input.made, `Page ${i + 1} of ${filled.length}`, at, measure)] };
  });
  return sheetDocument(input, { title: plainText(input.title), subject: 'Charts', pages });
}
