import { PAPER_SIZES, type Paper } from '../../analysis/dot/gauge-grid.ts';
import type { TrialsResult } from '../../analysis/trials/trials.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, Mark, Page, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import {
  artifact,
  blanks,
  foot,
  heading,
  RULE,
  rule,
  type TableDrawing,
  TYPE,
  table,
  textBlock,
} from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { CAUTION_TEXT } from '../words/cautions.ts';
import type { DisplayUnit } from '../words/display-units.ts';
import { settingText } from '../words/number-text.ts';

export interface TrialsSheetInput extends SheetOrigin {
  readonly trials: TrialsResult;
  /** Unit in which the station shows its pressure. */
  readonly pressure: DisplayUnit;
  readonly paper: Paper;
}

const MARGIN = 15; // [mm]
const LEADING = 7.2;
const FIRST_ROW = 62;
const END = 36; // kept free at the foot

/** Bytes of the run sheet as a PDF. The same input gives the same bytes. */
export async function trialsPdf(input: TrialsSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(trialsSheet(input, textMeasure(fonts)), fonts);
}

/** The run sheet as plain data: one row a weighing, in its order, with lines to write age, temperature, mass or diameter, and a note on. */
export function trialsSheet(input: TrialsSheetInput, measure: TextMeasure): SheetDocument {
  const { width, height } = PAPER_SIZES[input.paper];
  const page = { width: width * 1000, height: height * 1000 };
  const perPage = Math.max(1, Math.floor((page.height - FIRST_ROW - END) / LEADING));
  const { runs } = input.trials;
  const count = Math.max(1, Math.ceil(runs.length / perPage));
  const pages = Array.from({ length: count }, (_, i): Page => {
    const own = runs.slice(i * perPage, (i + 1) * perPage);
    return {
      ...page,
      blocks: [
        ...head(input, page.width, measure),
        rows(input, own, page.width, measure),
        ...end(input, page, [i + 1, count], measure),
      ],
    };
  });
  return sheetDocument(input, {
    title: `Trial shots: ${plainText(input.name)}`,
    subject: 'Run sheet of trial shots in random order, with lines to write readings on',
    pages,
  });
}

function head({ trials, name }: TrialsSheetInput, width: number, measure: TextMeasure): Block[] {
  const box = { x: MARGIN, width: width - 2 * MARGIN, font: 'regular', size: TYPE.body, leading: 3.8 } as const;
  const how =
    `Make the runs in this order; it is random within an age (seed ${trials.seed}). For each, ${trials.shots_per_weighing} shots ` +
    `${trials.by === 'mass' ? 'into one tared pan, weighed together' : 'onto one place, and the diameter of their dot as seen from above'}. ` +
    ' Write down the age at which it was shot, not the planned one. A shot that went wrong ' +
    'is noted, not left out. Copy the figures into the CSV of the trial for `fit`.';
  return [
    heading(MARGIN, 20.6, 'Trial shots', 'H1'),
    textBlock(name, { ...box, y: 27.6, font: 'medium', size: 11, lines: 1 }, measure),
    textBlock(how, { ...box, y: 34, lines: 4 }, measure),
    blanks(
      [
        { label: 'Operator', share: 4 },
        { label: 'Date', share: 3 },
        { label: 'Syringe', share: 3 },
        { label: 'Lot', share: 3 },
        { label: 'Mixed at', share: 3 },
      ],
      { x: MARGIN, y: 53, width: width - 2 * MARGIN },
      measure,
    ),
  ];
}

function rows(input: TrialsSheetInput, runs: TrialsResult['runs'], width: number, measure: TextMeasure): Block {
  const { pressure } = input;
  const reading = input.trials.by;
  const note = width - 2 * MARGIN - 141;
  const columns = [
    { title: 'Run', width: 10 },
    { title: `Pressure ${pressure.name}`, width: 21, align: 'right' },
    { title: 'Dwell s', width: 14, align: 'right' },
    { title: 'Planned min', width: 20, align: 'right' },
    { title: 'Age min', width: 18 },
    { title: 'Temp. °C', width: 18 },
    { title: 'Shots', width: 14, align: 'right' },
    { title: reading === 'mass' ? 'Mass mg' : 'Diameter mm', width: 26 },
    { title: 'Note', width: note },
  ] as const;
  const body = runs.map(run => [
    String(run.run),
    settingText(run.pressure_kPa * pressure.perKpa, 4),
    settingText(run.dwell_s),
    settingText(run.age_min, 4),
    blank('age', 18),
    blank('temperature', 18),
    String(run.shots),
    blank(reading, 26),
    blank('note', note),
  ]);
  return table({ x: MARGIN, y: FIRST_ROW, leading: LEADING, columns, rows: body }, measure);
}

function blank(what: string, width: number): TableDrawing {
  return {
    alt: `${what}, to be written`,
    draw: (x, baseline): Mark[] => [rule(x + 1, x + width - 2, baseline + 0.6, RULE.normal)],
  };
}

function end(
  input: TrialsSheetInput,
  page: { width: number; height: number },
  [number, count]: readonly [number, number],
  measure: TextMeasure,
): Block[] {
  const right = page.width - MARGIN;
  const small = { x: MARGIN, width: right - MARGIN, leading: 2.9, font: 'regular', size: TYPE.small } as const;
  const made = madeText(input, { after: `seed ${input.trials.seed}` });
  return [
    artifact(rule(MARGIN, right, page.height - 30, RULE.normal)),
    textBlock(CAUTION_TEXT, { ...small, y: page.height - 25.6 }, measure),
    foot(made, `Page ${number} of ${count}`, { left: MARGIN, right, y: page.height - 10.5 }, measure),
  ];
}
