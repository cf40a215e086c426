import type { FamilyGauge } from '../../analysis/family/family.ts';
import type { Block, CircleMark, Mark, Page } from '../page/marks.ts';
import { madeText } from '../page/sheet-origin.ts';
import { artifact, blanks, RULE, rule, TYPE, table, text, textBlock } from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { checkBars, gaugeHead } from '../pdf/gauge-frame.ts';
import { paperSize, SHEET_MARGIN, sheetEnd } from '../pdf/row-sheet.ts';
import { inchText } from '../words/display-units.ts';
import { numberText, settingText } from '../words/number-text.ts';
import type { FamilyCardInput } from './family-card.ts';

type ScaleInput = Omit<FamilyCardInput, 'family'> & {
  readonly family: FamilyCardInput['family'];
  readonly gauge: FamilyGauge;
};

const MARKS_TOP = 41; // head of the table of marks [mm]
const LEADING = 5;
/** From one label of a scale to the next, and room for a label beside the largest ring [mm]. */
const LABEL_STEP = 2.7;
const LABEL_ROOM = 21;
/** Beneath a circle: its number and the lines to write on [mm]. */
const CAPTION = 13;
/** Rings and the lines to their labels [mm]: what is thinner vanishes from a light copy, and rings are told apart by the white between them. */
const RING = { least: 0.2, greatest: 0.3 };
const FINE = 0.16;
/** Where the gauge of one recipe says how to take its picture. */
const NO_PICTURE = 'Read by eye: `scan` reads no picture of this sheet, only of the gauge of one recipe.';
/** Kept free at the right for the upright check bar, and at the foot for the other [mm]. */
const BAR_ROOM = 27;
const FOOT = 84;

/** A member by its number, the same in every table: long names may be cut where they differ. */
export function memberName(members: FamilyCardInput['family']['members'], i: number): string {
  return `${i + 1} ${members[i]!.name ?? members[i]!.recipe}`;
}

/** Pages of the scale, each made when the number of pages is known: rings labelled in µL, and between which marks the dots of a member end. */
export function familyScalePages(input: ScaleInput, measure: TextMeasure): ((at: string) => Page)[] {
  const page = paperSize(input.paper);
  const perPage = Math.floor((page.height - FOOT - 60 - MARKS_TOP) / LEADING);
  const groups = Array.from({ length: Math.ceil(input.gauge.marks.length / perPage) }, (_, i) =>
    input.gauge.marks.slice(i * perPage, (i + 1) * perPage),
  );
  return groups.map((marks, i) => at => scalePage(input, marks, i * perPage, at, measure));
}

function scalePage(
  input: ScaleInput,
  marks: FamilyGauge['marks'],
  from: number,
  at: string,
  measure: TextMeasure,
): Page {
  const page = paperSize(input.paper);
  const { scaleX, scaleY, gauge } = input;
  const frame = { measure, height: page.height, left: SHEET_MARGIN, right: page.width - SHEET_MARGIN };
  const top = MARKS_TOP + 12 + marks.length * LEADING;
  const box = { x: SHEET_MARGIN, width: page.width - 2 * SHEET_MARGIN - BAR_ROOM, leading: 3.3 } as const;
  return {
    ...page,
    blocks: [
      ...gaugeHead({ ...frame, title: 'Dot gauge in µL', name: input.name, paper: input.paper }),
      { tag: 'P', marks: [text(SHEET_MARGIN, 13, NO_PICTURE, TYPE.label)] },
      marksTable(input, marks, from, measure),
      textBlock(howTo(gauge), { ...box, y: top - 4, font: 'regular', size: TYPE.label, lines: 2 }, measure),
      artifact(rule(SHEET_MARGIN, page.width - SHEET_MARGIN - BAR_ROOM, top + 2, RULE.normal)),
      ...circles(input, { top: top + 5, bottom: page.height - FOOT, width: page.width }),
      ...checkBars({ ...frame, scaleX, scaleY }),
      blanks(
        [
          { label: 'Operator', share: 4 },
          { label: 'Date', share: 3 },
          { label: 'Syringe', share: 3 },
          { label: 'Lot', share: 3 },
        ],
        { x: SHEET_MARGIN, y: page.height - 33.4, width: page.width - 2 * SHEET_MARGIN },
        measure,
      ),
      ...sheetEnd({ page, made: madeText(input), at }, measure),
    ],
  };
}

function marksTable(input: ScaleInput, marks: FamilyGauge['marks'], from: number, measure: TextMeasure): Block {
  const { paper, family } = input;
  const inner = paperSize(paper).width - 2 * SHEET_MARGIN - BAR_ROOM;
  const units = input.length === 'in' ? ['µL', 'mm', 'in'] : ['µL', 'mm'];
  const numbers = units.flatMap(unit => ['Min', 'Aim', 'Max'].map(which => `${which} ${unit}`));
  const width = input.length === 'in' ? 13 : 16;
  const columns = [
    { title: 'Member', width: inner - numbers.length * width },
    ...numbers.map(title => ({ title, width, align: 'right' as const })),
  ];
  const rows = marks.map((mark, i) => [
    memberName(family.members, from + i),
    ...[mark.min_uL, mark.aim_uL, mark.max_uL].map(volume => numberText(volume)),
    ...[mark.min_mm, mark.aim_mm, mark.max_mm].map(diameter => diameter.toFixed(2)),
    ...(input.length === 'in' ? [mark.min_mm, mark.aim_mm, mark.max_mm].map(inchText) : []),
  ]);
  return table({ x: SHEET_MARGIN, y: MARKS_TOP, leading: LEADING, columns, rows }, measure);
}

function howTo(g: FamilyGauge): string {
  const shots =
    g.shots_per_circle === 1
      ? 'One shot on each cross'
      : `${g.shots_per_circle} shots on each cross, all on the same spot`;
  const read =
    g.read_after_s === null ? 'always after the same time' : `${settingText(g.read_after_s)} s after the last`;
  return (
    `${shots}; read from above, ${read}. A ring is what all of them hold when their dot reaches the middle of its line. The dot of a ` +
    `member ends between its min and max. ${settingText(g.reading_error_mm, 2)} mm misread is up to ${numberText(g.reading_error_pct, 2)} % of the volume.`
  );
}

function circles(
  { gauge, scaleX, scaleY }: ScaleInput,
  field: { top: number; bottom: number; width: number },
): Block[] {
  const largest = Math.max(...gauge.rings.map(ring => ring.diameter_mm));
  const across = largest / scaleX;
  const down = Math.max(largest / scaleY, gauge.rings.length * LABEL_STEP);
  const width = field.width - 2 * SHEET_MARGIN - BAR_ROOM;
  const columns = Math.max(1, Math.floor(width / (across + LABEL_ROOM + 4)));
  const rows = Math.max(1, Math.floor((field.bottom - field.top) / (down + CAPTION + 3)));
  const cell = { width: width / columns, height: (field.bottom - field.top) / rows };
  return Array.from({ length: rows * columns }, (_, i) => {
    const x = SHEET_MARGIN + (i % columns) * cell.width + across / 2 + 4;
    const y = field.top + Math.floor(i / columns) * cell.height + down / 2 + 2;
    return scaleCircle({ gauge, scaleX, scaleY, x, y, number: i + 1, foot: y + down / 2 });
  });
}

interface ScaleCircle {
  readonly gauge: FamilyGauge;
  readonly scaleX: number;
  readonly scaleY: number;
  readonly x: number;
  readonly y: number;
  readonly number: number;
  /** Lower end of rings and labels [mm]. */
  readonly foot: number;
}

/** Rings with a label each, from the outermost at the top to the innermost, and a line from every label to its ring. */
function scaleCircle(c: ScaleCircle): Block {
  const { gauge, x, y } = c;
  const rings = [...gauge.rings].sort((a, b) => b.diameter_mm - a.diameter_mm);
  const outermost = rings[0]!.diameter_mm / 2 / c.scaleX;
  const gaps = rings.slice(1).map((ring, i) => (rings[i]!.diameter_mm - ring.diameter_mm) / 2);
  const width = Math.min(RING.greatest, Math.max(RING.least, Math.min(...gaps) / 2));
  const labelX = x + outermost + 6;
  const figures = rings.map((ring, i): Block => {
    const radiusX = ring.diameter_mm / 2 / c.scaleX;
    const radiusY = ring.diameter_mm / 2 / c.scaleY;
    // neighbours are told apart without colour
    const dash = i % 2 === 1 ? { dash: closedDash(Math.PI * (radiusX + radiusY)) } : {};
    const circle: CircleMark = { kind: 'circle', x, y, radiusX, radiusY, width, ...dash };
    const angle = rings.length === 1 ? 0 : (-70 + (140 * i) / (rings.length - 1)) * (Math.PI / 180);
    const [px, py] = [x + radiusX * Math.cos(angle), y + radiusY * Math.sin(angle)];
    const labelY = y + (i - (rings.length - 1) / 2) * LABEL_STEP;
    const marks: Mark[] = [
      circle,
      { kind: 'circle', x: px, y: py, radiusX: 0.2, radiusY: 0.2, width: 0, fill: 'black' },
      { kind: 'line', x1: px, y1: py, x2: labelX - 0.8, y2: labelY, width: FINE },
      text(labelX, labelY + 0.8, `${settingText(ring.volume_uL)} µL`, TYPE.small),
    ];
    return {
      tag: 'Figure',
      alt: `${settingText(ring.volume_uL)} µL ring, ${ring.diameter_mm.toFixed(2)} mm across`,
      marks,
    };
  });
  const arm = 0.5; // [mm]
  const cross: Mark[] = [
    { kind: 'line', x1: x - arm, y1: y, x2: x + arm, y2: y, width: FINE },
    { kind: 'line', x1: x, y1: y - arm, x2: x, y2: y + arm, width: FINE },
  ];
  const left = x - outermost;
  return {
    tag: 'Sect',
    blocks: [
      ...figures,
      artifact(...cross),
      {
        tag: 'P',
        marks: [
          text(left, c.foot + 5.4, String(c.number), TYPE.heading, { font: 'semibold' }),
          rule(left + 6, left + 18, c.foot + 6),
          text(left + 19, c.foot + 5.4, 'µL', TYPE.small),
          text(left, c.foot + 10.4, 'member', TYPE.small),
          rule(left + 9.5, left + 25, c.foot + 11),
        ],
      },
    ],
  };
}

/** Short dashes, stretched so that a whole number of them closes the ring. */
function closedDash(circumference: number): readonly [number, number] {
  const repeats = Math.max(6, Math.round(circumference / 1.1));
  const half = circumference / repeats / 2;
  return [half, half];
}
