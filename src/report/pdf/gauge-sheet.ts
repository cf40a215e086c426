import type { GaugeResult } from '../../analysis/dot/gauge.ts';
import { circleMiddle, gaugeGrid, PAPER_SIZES } from '../../analysis/dot/gauge-grid.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, Page, SheetDocument } from '../page/marks.ts';
import { paragraph, plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import { artifact, blanks, type Column, facts, foot, RULE, rule, TYPE, table, textBlock } from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { CAUTION_TEXT } from '../words/cautions.ts';
import { inchText, type LengthUnit } from '../words/display-units.ts';
import { numberText, plain, settingText } from '../words/number-text.ts';
import { gaugeCell } from './gauge-cell.ts';
import { checkBars, gaugeHead } from './gauge-frame.ts';
import { CODE_WIDTH, gaugeMarks } from './gauge-marks.ts';
import { ringLines, ringSample } from './gauge-rings.ts';

export interface GaugeSheetInput extends SheetOrigin {
  readonly gauge: GaugeResult;
  /** Version of the recipe format. */
  readonly format: number;
  /** `in` gives diameters in inch beside mm; default `mm`. */
  readonly length?: LengthUnit;
}

/** Bytes of the gauge as a PDF. The same input gives the same bytes. */
export async function gaugePdf(input: GaugeSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(gaugeSheet(input, textMeasure(fonts)), fonts);
}

/**
 * The gauge sheet as plain data: rings to scale, two check bars, and what must be known to use them. Only rings and bars
 * are divided by the printer's scale; text and lines to write on stay where they are.
 * Throws: RangeError when the rings do not fit the paper; `gauge` has made that a finding before.
 */
export function gaugeSheet(input: GaugeSheetInput, measure: TextMeasure): SheetDocument {
  const { gauge } = input;
  const largest = Math.max(...gauge.rings.map(r => r.diameter_mm)) / 1000;
  const grid = gaugeGrid({ paper: gauge.paper, width: largest / gauge.scale_x, height: largest / gauge.scale_y });
  if (grid === null) throw new RangeError('the largest ring does not fit the paper');
  const perPage = grid.columns * grid.rows;
  const count = Math.ceil(gauge.circles / perPage);
  const size = PAPER_SIZES[gauge.paper];
  const sheet: Sheet = { input, measure, width: size.width * 1000, height: size.height * 1000, left: MARGIN, right: 0 };
  sheet.right = sheet.width - MARGIN;
  const pages = Array.from({ length: count }, (_, p): Page => {
    const first = p * perPage;
    const cells = Array.from({ length: Math.min(perPage, gauge.circles - first) }, (_, i) => {
      const { x, y } = circleMiddle(grid, i);
      return gaugeCell({ gauge, number: first + i + 1, x: x * 1000, y: y * 1000, length: input.length ?? 'mm' });
    });
    return {
      width: sheet.width,
      height: sheet.height,
      blocks: [
        ...gaugeMarks({ ...input, grid, page: p + 1, pages: count, left: sheet.left }),
        ...gaugeHead({ ...sheet, title: 'Dot gauge', name: input.name, paper: gauge.paper, beside: CODE_WIDTH }),
        ...reading(sheet),
        ...cells,
        ...checkBars({ ...sheet, scaleX: gauge.scale_x, scaleY: gauge.scale_y }),
        ...end(sheet, p + 1, count),
      ],
    };
  });
  return sheetDocument(input, {
    title: `Dot gauge: ${plainText(input.name)}`,
    subject: 'Rings to scale for judging a dot of epoxy on a flat surface, with check bars',
    pages,
  });
}

interface Sheet {
  readonly input: GaugeSheetInput;
  readonly measure: TextMeasure;
  readonly width: number;
  readonly height: number;
  readonly left: number;
  right: number;
}

const MARGIN = 15; // [mm]
/** What the rings are, and how to read a dot against them. */
function reading(s: Sheet): Block[] {
  const { gauge } = s.input;
  const lines = ringLines(gauge);
  const inches = s.input.length === 'in';
  const middle = s.left + 92;
  const rows = gauge.rings.map(ring => [
    ring.name,
    ringSample(ring.name, lines, inches ? 9 : 15),
    ring.diameter_mm.toFixed(2),
    ...(inches ? [inchText(ring.diameter_mm)] : []),
    numberText(ring.volume_uL, 4),
    numberText(ring.mass_mg, 4),
  ]);
  const columns: Column[] = [
    { title: 'Ring', width: 10 },
    { title: 'Line', width: inches ? 11 : 19 },
    { title: 'Diameter mm', width: 20, align: 'right' },
    ...(inches ? [{ title: 'in', width: 12, align: 'right' } as const] : []),
    { title: 'Volume µL', width: inches ? 17 : 18, align: 'right' },
    { title: 'Mass mg', width: inches ? 15 : 17, align: 'right' },
  ];
  const list = facts(
    readingFacts(gauge),
    { x: middle, y: 41, width: s.right - middle, labelWidth: 31, leading: 4.6 },
    s.measure,
  );
  const note = { x: s.left, width: 84, leading: 3.3, font: 'regular', size: TYPE.label } as const;
  const wide = { ...note, width: s.right - s.left };
  return [
    table({ x: s.left, y: 41, leading: 5.2, columns, rows }, s.measure),
    textBlock(
      lines.inTurns
        ? `Rings for ${shots(gauge)} take turns round the circle; a line's middle is its diameter.`
        : `Rings are for ${shots(gauge)} on one circle. The middle of a line is its diameter.`,
      { ...note, y: 63, width: 90, lines: 1 },
      s.measure,
    ),
    list.block,
    {
      tag: 'P',
      marks: paragraph(howTo(gauge, s.input.length), { ...wide, y: 68.2, leading: 3.2, lines: 3 }, s.measure),
    },
    artifact(rule(s.left, s.right, 76.6, RULE.normal)),
  ];
}

function readingFacts(g: GaugeResult): { label: string; value: string }[] {
  const aim = g.rings.find(r => r.name === 'aim')!;
  const error = numberText(g.reading_error_mm, 2).replace(/\.?0+$/, '');
  return [
    {
      label: 'Shots on one circle',
      value: g.shots_per_circle === 1 ? '1' : `${g.shots_per_circle}, all on the same spot`,
    },
    { label: 'One shot', value: `${numberText(g.shot.volume_uL, 4)} µL = ${numberText(g.shot.mass_mg, 4)} mg` },
    { label: 'Surface', value: g.surface ?? 'flat; always the same' },
    {
      label: 'Read from above',
      value:
        g.read_after_s === null ? 'always after the same time' : `${settingText(g.read_after_s)} s after the last shot`,
    },
    {
      label: `${error} mm misread is`,
      value: `${numberText(g.reading_error_pct, 2)} % of the volume, ${numberText((aim.volume_uL * g.reading_error_pct) / 100, 2)} µL`,
    },
    { label: 'Contact angle', value: angle(g) },
  ];
}

function angle(g: GaugeResult): string {
  const value = `${g.contact_angle_deg.toFixed(1)}°`;
  if (g.calibration_dots === 0) return `${value}, as given, not calibrated`;
  const spread = g.contact_angle_uncertainty_deg;
  return `${value}${spread === null ? '' : ` ± ${spread.toFixed(1)}°`}, from ${counted(g.calibration_dots, 'weighed dot')}`;
}

/** What to tick, and why so many shots; what release judges is said beside what a connector bears. */
function howTo(g: GaugeResult, length: LengthUnit = 'mm'): string {
  const [low, high] = g.ok_mm;
  const inches = length === 'in' ? ` (${inchText(low)} to ${inchText(high)} in)` : '';
  const within = `${low.toFixed(2)} to ${high.toFixed(2)} mm${inches} across, ± ${plain(g.tolerance_pct)} % of the aim`;
  const ok = ringLines(g).aimIsTolerance ? `ends on the solid line, ${within}` : `is ${within}`;
  return (
    'Tick low when the edge of the dot stays inside the min ring, high when it passes the max ring: no connector gets that. ' +
    `Between the two tick ok when it ${ok}; else ok, trim: the connector bears it, the dwell is to be trimmed. ` +
    `The release check decides for the syringe.${manyShots(g)}`
  );
}

function manyShots(g: GaugeResult): string {
  if (g.shots_per_circle > 1) {
    const alone = `One shot alone (${g.shot.diameter_mm.toFixed(2)} mm) would be known to ${numberText(g.shot.reading_error_pct, 2)} % only`;
    return ` ${alone}: that is why ${g.shots_per_circle} go on one circle.`;
  }
  if (g.reading_error_pct <= g.tolerance_pct / 2) return '';
  return ` A dot is known to ${numberText(g.reading_error_pct, 2)} % only: weigh shots as well.`;
}

/** Blanks, cautions and the last line. */
function end(s: Sheet, page: number, pages: number): Block[] {
  const { input } = s;
  const list = [
    { label: 'Operator', share: 4 },
    { label: 'Date', share: 3 },
    { label: 'Syringe', share: 3 },
    { label: 'Lot', share: 3 },
  ];
  const small = { x: s.left, width: s.right - s.left, leading: 2.9, font: 'regular', size: TYPE.small } as const;
  const made = madeText(input, { before: `recipe format ${input.format}` });
  return [
    artifact(rule(s.left, s.right, s.height - 38.2, RULE.normal)),
    blanks(list, { x: s.left, y: s.height - 31.4, width: s.right - s.left }, s.measure),
    textBlock(CAUTION_TEXT, { ...small, y: s.height - 25.6 }, s.measure),
    foot(made, `Page ${page} of ${pages}`, { left: s.left, right: s.right, y: s.height - 10.5 }, s.measure),
  ];
}

function shots(g: GaugeResult): string {
  return counted(g.shots_per_circle, 'shot');
}
