import type { Paper } from '../../analysis/dot/gauge-grid.ts';
import type { TrialsResult } from '../../analysis/trials/trials.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import { blanks, heading, TYPE, textBlock } from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import type { DisplayUnit } from '../words/display-units.ts';
import { settingText } from '../words/number-text.ts';
import { paperSize, type RowSheet, rowPages, SHEET_MARGIN, writable } from './row-sheet.ts';

export interface TrialsSheetInput extends SheetOrigin {
  readonly trials: TrialsResult;
  /** Unit in which the station shows its pressure. */
  readonly pressure: DisplayUnit;
  readonly paper: Paper;
}

const LEADING = 7.2; // [mm]
const FIRST_ROW = 62;

/** Bytes of the run sheet as a PDF. The same input gives the same bytes. */
export async function trialsPdf(input: TrialsSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(trialsSheet(input, textMeasure(fonts)), fonts);
}

/** The run sheet as plain data: one row a weighing, in its order, with lines to write age, temperature, mass or diameter, and a note on. */
export function trialsSheet(input: TrialsSheetInput, measure: TextMeasure): SheetDocument {
  const { width } = paperSize(input.paper);
  const sheet: RowSheet = {
    ...{ paper: input.paper, firstRow: FIRST_ROW, leading: LEADING },
    ...rows(input, width),
    head: head(input, width, measure),
    made: madeText(input, { after: `seed ${input.trials.seed}` }),
  };
  return sheetDocument(input, {
    title: `Trial shots: ${plainText(input.name)}`,
    subject: 'Run sheet of trial shots in random order, with lines to write readings on',
    pages: rowPages(sheet, measure),
  });
}

function head({ trials, name }: TrialsSheetInput, width: number, measure: TextMeasure): Block[] {
  const box = {
    x: SHEET_MARGIN,
    width: width - 2 * SHEET_MARGIN,
    font: 'regular',
    size: TYPE.body,
    leading: 3.8,
  } as const;
  const how =
    `Make the runs in this order; it is random within an age (seed ${trials.seed}). For each, ${trials.shots_per_weighing} shots ` +
    `${trials.by === 'mass' ? 'into one tared pan, weighed together' : 'onto one place, and the diameter of their dot as seen from above'}. ` +
    ' Write down the age at which it was shot, not the planned one. A shot that went wrong ' +
    'is noted, not left out. Copy the figures into the CSV of the trial for `fit`.';
  return [
    heading(SHEET_MARGIN, 20.6, 'Trial shots', 'H1'),
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
      { x: SHEET_MARGIN, y: 53, width: width - 2 * SHEET_MARGIN },
      measure,
    ),
  ];
}

function rows({ pressure, trials }: TrialsSheetInput, width: number): Pick<RowSheet, 'columns' | 'rows'> {
  const reading = trials.by;
  const note = width - 2 * SHEET_MARGIN - 141;
  const columns = [
    { title: 'Run', width: 10 },
    { title: `Pressure ${pressure.name}`, width: 21, align: 'right' },
    { title: 'Dwell s', width: 14, align: 'right' },
    { title: 'Planned min', width: 20, align: 'right' },
    { title: 'Age min', width: 18, align: 'right' },
    { title: 'Temp. °C', width: 18, align: 'right' },
    { title: 'Shots', width: 14, align: 'right' },
    { title: reading === 'mass' ? 'Mass mg' : 'Diameter mm', width: 26, align: 'right' },
    { title: 'Note', width: note, align: 'right' },
  ] as const;
  const rows = trials.runs.map(run => [
    String(run.run),
    settingText(run.pressure_kPa * pressure.perKpa, 4),
    settingText(run.dwell_s),
    settingText(run.age_min, 4),
    writable('age', 18),
    writable('temperature', 18),
    String(run.shots),
    writable(reading, 26),
    writable('note', note),
  ]);
  return { columns, rows };
}
