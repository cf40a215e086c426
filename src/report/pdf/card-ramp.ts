import type { CardResult, CardStep } from '../../analysis/card/card.ts';
import type { Block } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import { type Column, table, text } from '../page/sheet-parts.ts';
import { PT_PER_MM, type TextMeasure } from '../page/text-measure.ts';

export interface RampBox {
  readonly x: number;
  /** Baseline of the head row [mm]. */
  readonly y: number;
  readonly width: number;
  /** From the head row to the end of the room [mm]. */
  readonly height: number;
}

/** Sizes of the figures, largest first; the smallest can still be read at arm's length [pt]. */
const SIZES = [22, 20, 18, 16, 14] as const;
const SMALLEST_RAMP_TYPE = SIZES.at(-1)!;
const LEADING = 1.24; // baseline to baseline over the type size
const HEAD = 2.1; // from the head row to where the first row begins, beyond its leading [mm]
const GAP = 4; // between tables side by side [mm]
const CELL_GAP = 2.2; // between columns [mm]

interface Grid {
  readonly size: number;
  readonly rows: number;
  readonly tables: number;
  readonly columns: readonly Column[];
}

/**
 * The ramp in figures as large as the room allows, in as few tables side by side as it takes. Where even the smallest do not fit,
 * the program in words with its first and last steps; `leftOut` is how many steps are not shown.
 */
export function rampTable(card: CardResult, box: RampBox, measure: TextMeasure): { blocks: Block[]; leftOut: number } {
  const { steps } = card.ramp;
  // The blank column for the clock gives way before a step does.
  const tries = [true, false].flatMap(blank => SIZES.map(size => ({ size, blank })));
  for (const { size, blank } of tries) {
    const grid = gridFor(card, { size, blank }, box, measure);
    if (grid.rows * grid.tables >= steps.length) {
      return {
        blocks: tables(
          steps.map(s => cells(s, card)),
          grid,
          box,
          measure,
        ),
        leftOut: 0,
      };
    }
  }
  return summary(card, box, measure);
}

interface Figures {
  readonly size: number;
  /** With a blank column for the clock, where the card has no times. */
  readonly blank: boolean;
}

function gridFor(card: CardResult, { size, blank }: Figures, box: RampBox, measure: TextMeasure): Grid {
  const columns = columnsFor(card, { size, blank }, measure);
  const width = columns.reduce((sum, c) => sum + c.width, 0);
  const most = Math.max(0, Math.floor((box.width + GAP) / (width + GAP)));
  const rows = Math.max(0, Math.floor((box.height - HEAD) / leadingOf(size)));
  const tables = Math.min(most, Math.max(1, Math.ceil(card.ramp.steps.length / Math.max(1, rows))));
  return { size, rows, tables, columns };
}

function leadingOf(size: number): number {
  return (size / PT_PER_MM) * LEADING;
}

/** What is written by hand into a blank column. */
const CLOCK = '00:00';

function columnsFor(card: CardResult, { size, blank }: Figures, measure: TextMeasure): Column[] {
  const rows = card.ramp.steps.map(step => cells(step, card));
  const titles = [
    'Shots',
    'Dwell s',
    card.mixed_at === null ? 'from min' : 'from',
    ...(card.mixed_at === null && blank ? ['clock'] : []),
  ];
  return titles.map((title, i) => {
    const written = title === 'clock' ? [CLOCK] : rows.map(r => r[i]!);
    const widest = Math.max(...written.map(words => measure(words, i === 0 ? 'medium' : 'regular', size)));
    return {
      title,
      width: Math.max(widest, measure(title, 'medium', 7)) + CELL_GAP,
      align: i === 0 ? 'left' : 'right',
    };
  });
}

function cells(step: CardStep, card: CardResult): string[] {
  const range = step.from_shot === step.to_shot ? String(step.from_shot) : `${step.from_shot}–${step.to_shot}`;
  const dwell = step.dwell_s.toFixed(card.dwell_decimals);
  return card.mixed_at === null ? [range, dwell, step.from_age_min.toFixed(1), ''] : [range, dwell, step.at ?? ''];
}

/** Rows down the first table, then down the next; all as long as the first but for the last. */
function tables(rows: readonly string[][], grid: Grid, box: RampBox, measure: TextMeasure): Block[] {
  const each = Math.ceil(rows.length / grid.tables);
  const width = grid.columns.reduce((sum, c) => sum + c.width, 0);
  return Array.from({ length: Math.ceil(rows.length / each) }, (_, i) => {
    const x = box.x + i * (width + GAP);
    const part = rows.slice(i * each, (i + 1) * each).map(row => row.slice(0, grid.columns.length));
    return table(
      { x, y: box.y, leading: leadingOf(grid.size), columns: grid.columns, rows: part, size: grid.size },
      measure,
    );
  });
}

/** How the program reads: "first 0.53 s, then 0.02 s more every 4 shots". */
export function stageText(card: CardResult, index: number): string {
  const stage = card.ramp.stages[index]!;
  const by = card.ramp.presses_per_connector === 1 ? '' : ' by dwell';
  const first = `first ${seconds(stage.first_dwell_s, card)}`;
  if (stage.add_s === 0) return `${seconds(stage.first_dwell_s, card)} throughout`;
  const every = stage.every === 1 ? `every shot${by}` : `every ${stage.every} shots${by}`;
  return `${first}, then ${seconds(stage.add_s, card)} more ${every}`;
}

function seconds(value: number, card: CardResult): string {
  return `${value.toFixed(card.dwell_decimals)} s`;
}

const MOST_STAGES = 3;

function summary(card: CardResult, box: RampBox, measure: TextMeasure): { blocks: Block[]; leftOut: number } {
  const size = SMALLEST_RAMP_TYPE;
  const { stages, steps } = card.ramp;
  const shown = stages.slice(0, MOST_STAGES);
  const lines = shown.map((stage, i) => `From shot ${stage.from_shot}: ${stageText(card, i)}`);
  const leading = leadingOf(size);
  const used = lines.length * leading + 1;
  const rest = { ...box, y: box.y + used, height: box.height - used };
  const grid = gridFor(card, { size, blank: false }, rest, measure);
  const count = Math.max(2, grid.rows * grid.tables - 1); // one row says how many are missing
  const head = Math.ceil(count / 2);
  const leftOut = steps.length - count;
  const rows = [
    ...steps.slice(0, head).map(s => cells(s, card)),
    grid.columns.map(({ title }) => (title === 'clock' ? '' : '…')),
    ...steps.slice(head + leftOut).map(s => cells(s, card)),
  ];
  const program: Block = {
    tag: 'P',
    marks: lines.map((words, i) =>
      text(box.x, box.y + 2.4 + i * leading, fitText(words, box.width, { font: 'medium', size }, measure), size, {
        font: 'medium',
      }),
    ),
  };
  return { blocks: [program, ...tables(rows, grid, rest, measure)], leftOut };
}
