import { PAPER_SIZES, type Paper } from '../../analysis/dot/gauge-grid.ts';
import type { Block, Page, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { foot } from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { chartBlock } from './chart-block.ts';
import { CHART_EDGE, type Drawing } from './drawing.ts';

export interface ChartSheetInput {
  readonly drawings: readonly Drawing[];
  readonly paper: Paper;
  readonly title: string;
  /** Last line of every page: what the charts were made from. */
  readonly made: string;
  readonly creator: string;
  readonly created: Date;
}

const MARGIN = 15; // [mm]
const GAP = 8;

/** Drawings one beneath the other, on as many pages as they need; each drawing stays whole. */
export function chartSheet(input: ChartSheetInput, measure: TextMeasure): SheetDocument {
  const { width, height } = PAPER_SIZES[input.paper];
  const size = { width: width * 1000, height: height * 1000 };
  const filled: Block[][] = [[]];
  let y = MARGIN;
  for (const drawing of input.drawings) {
    if (y > MARGIN && y + drawing.height > size.height - MARGIN - 6) {
      filled.push([]);
      y = MARGIN;
    }
    filled.at(-1)!.push(chartBlock(drawing, MARGIN - CHART_EDGE, y));
    y += drawing.height + GAP;
  }
  const pages = filled.map((blocks, i): Page => {
    const at = { left: MARGIN, right: size.width - MARGIN, y: size.height - 10.5 };
    return { ...size, blocks: [...blocks, foot(input.made, `Page ${i + 1} of ${filled.length}`, at, measure)] };
  });
  return {
    title: plainText(input.title),
    subject: 'Charts',
    lang: 'en',
    creator: input.creator,
    created: input.created,
    pages,
  };
}
