import type { CardResult } from '../../analysis/card/card.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, Mark, SheetDocument } from '../page/marks.ts';
import { fitText, paragraph, plainText } from '../page/set-text.ts';
import { madeText, sheetDocument } from '../page/sheet-origin.ts';
import { artifact, blanks, foot, heading, RULE, rule, TYPE, text, textBlock } from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { CAUTION_TEXT } from '../words/cautions.ts';
import { numberText, plain } from '../words/number-text.ts';
import { firstPiecePart } from './card-first-piece.ts';
import { type CardLayout, type CardSheetInput, cardLayout, RAMP_TOP } from './card-layout.ts';
import { rampTable, stageText } from './card-ramp.ts';
import { settingsPart } from './card-settings.ts';
import { workPart } from './card-work.ts';

export type { CardSheetInput };

export interface CardSheet {
  readonly document: SheetDocument;
  /** Steps of the ramp that the page had no room for. */
  readonly stepsLeftOut: number;
}

/** Bytes of the card as a PDF, and how many steps it leaves out. The same input gives the same bytes. */
export async function cardPdf(
  input: CardSheetInput,
  fonts: FontFiles,
): Promise<{ bytes: Uint8Array; stepsLeftOut: number }> {
  const { document, stepsLeftOut } = cardSheet(input, textMeasure(fonts));
  return { bytes: await drawPdf(document, fonts), stepsLeftOut };
}

/** The card as plain data: one page, from the settings at its head to the lines to sign at its foot. */
export function cardSheet(input: CardSheetInput, measure: TextMeasure): CardSheet {
  const sheet = cardLayout(input, measure);
  const { width, height } = sheet;
  const ramp = rampPart(sheet);
  const blocks = [
    ...headPart(sheet),
    ...settingsPart(sheet),
    ...ramp.blocks,
    ...stopPart(sheet),
    ...firstPiecePart(sheet),
    ...failPart(sheet),
    ...endPart(sheet),
  ];
  const document = sheetDocument(input, {
    title: `Setup card: ${plainText(input.name)}${input.card.syringe === null ? '' : `, syringe ${plainText(input.card.syringe.name)}`}`,
    subject: 'Settings, ramp, first-piece check and stop of one recipe, to hang at the station',
    pages: [
      { width, height, blocks },
      { width, height, blocks: [...workPart(sheet), footPart(sheet, 2)] },
    ],
  });
  return { document, stepsLeftOut: ramp.leftOut };
}

const STATES: Readonly<Record<CardResult['settings'], string>> = {
  released: 'Released settings',
  trial: 'Trial settings',
  'computed, not released': 'Computed, not released',
  syringe: 'This syringe only',
};

function headPart(s: CardLayout): Block[] {
  const { card } = s.input;
  const boxWidth = 54;
  const x = s.right - boxWidth;
  const nameBox = {
    x: s.left,
    y: 25.6,
    width: x - s.left - 6,
    leading: 4.6,
    font: 'medium',
    size: 11,
    lines: 2,
  } as const;
  const middle = x + boxWidth / 2;
  const paper = card.paper === 'a4' ? 'A4' : 'Letter';
  const state = STATES[card.settings];
  return [
    heading(s.left, 19, 'Setup card', 'H1'),
    textBlock(nameOf(s), nameBox, s.measure),
    artifact({
      kind: 'box',
      x,
      y: 12,
      boxWidth,
      boxHeight: 13.6,
      width: card.settings === 'released' ? RULE.strong : 0.9,
    }),
    {
      tag: 'P',
      marks: [
        text(middle, 18, state, 12, { font: 'semibold', align: 'center' }),
        text(middle, 22.8, `Print at 100 %, ${paper}`, TYPE.label, { align: 'center' }),
      ],
    },
    artifact(rule(s.left, s.right, 32.4, RULE.strong)),
  ];
}

/** The recipe, and the syringe where the card is of one. */
function nameOf({ input: { card, name } }: CardLayout): string {
  const { syringe: of } = card;
  if (of === null) return name;
  const lot = of.lot === '' ? '' : `, lot ${of.lot}`;
  const thick = `${numberText(of.thickness)} times as thick as the recipe`;
  return `Syringe ${of.name}${lot}: ${thick}. ${name}; checked ${of.checked_at}, shot ${of.shot}.`;
}

/** The program, unless it stands in large figures beneath. */
function rampTitle(card: CardLayout['input']['card'], leftOut: number): string {
  const { steps, stages } = card.ramp;
  if (steps.length === 1) return 'Dwell stays the same';
  if (stages.length > 1) return `Ramp in ${stages.length} stages`;
  return leftOut > 0 ? 'Ramp' : `Ramp: ${stageText(card, 0)}`;
}

function rampPart(s: CardLayout): { blocks: Block[]; leftOut: number } {
  const { card } = s.input;
  const width = s.inner - s.left;
  const box = { x: s.left, y: RAMP_TOP + 9.4, width, height: s.stop - 2 - (RAMP_TOP + 9.4) };
  const made = rampTable(card, box, s.measure);
  const note = made.leftOut === 0 ? '' : ` ${made.leftOut} steps do not fit here: set the program at the station.`;
  const shown = fitText(rampTitle(card, made.leftOut), width, { font: 'semibold', size: TYPE.heading }, s.measure);
  return {
    blocks: [
      artifact(rule(s.left, s.inner, 68.4)),
      heading(s.left, RAMP_TOP, shown),
      textBlock(
        `${rampNote(card)}${note}`,
        { x: s.left, y: RAMP_TOP + 4.2, width, leading: 3.3, font: 'regular', size: TYPE.body, lines: 1 },
        s.measure,
      ),
      ...made.blocks,
    ],
    leftOut: made.leftOut,
  };
}

function rampNote(card: CardResult): string {
  const basis = {
    released: 'Released.',
    kept: 'No ramp is released.',
    'computed, not released': 'Computed, not released.',
    syringe: `Of this syringe, from shot ${card.syringe?.shot} on.`,
  }[card.ramp.basis];
  const when =
    card.mixed_at === null
      ? ''
      : ` Mixed at ${card.mixed_at}, ${card.syringe === null ? 'first shot' : `shot ${card.syringe.shot}`} at ${card.first_shot_at}.`;
  const presses =
    card.ramp.presses_per_connector === 1 ? '' : ' One shot a connector here; the station counts its bore shot too.';
  return `${basis}${when}${presses} Largest error ${numberText(card.ramp.worst_error_pct, 2)} %.`;
}

const STOP_WHY: Readonly<Record<CardResult['stop']['reason'], string>> = {
  viscosity_factor: 'After that the resin is too thick.',
  age: 'After that the resin is too old.',
  gel: 'After that the resin is near its gel point.',
  syringe: 'After that the syringe holds no full connector.',
  dwell: 'After that the dwell would leave the limits of the station.',
  pressure: 'After that the pressure would leave the limits of the station.',
  tolerance: 'After that these settings leave the tolerance.',
};

function stopPart(s: CardLayout): Block[] {
  const { stop } = s.input.card;
  const width = s.inner - s.left;
  const clock = stop.at === null ? '' : `, at ${stop.at}`;
  const words =
    stop.shot === 0 ? 'Do not use' : `Stop after shot ${stop.shot}, ${plain(stop.age_min)} min after mixing${clock}`;
  const why = stop.shot === 0 ? 'The first shot is outside the tolerance already.' : STOP_WHY[stop.reason];
  const size = [16, 15, 14, 12].find(pt => s.measure(words, 'semibold', pt) <= width - 6) ?? 12;
  const early = stop.shot === 0 ? '' : ' Stop sooner when it strings or a check fails.';
  const small = { font: 'regular', size: TYPE.body } as const;
  return [
    artifact({ kind: 'box', x: s.left, y: s.stop, boxWidth: width, boxHeight: 13, width: RULE.strong }),
    {
      tag: 'P',
      marks: [
        text(s.left + 3, s.stop + 6.6, words, size, { font: 'semibold' }),
        text(s.left + 3, s.stop + 10.9, fitText(`${why}${early}`, width - 6, small, s.measure), TYPE.body),
      ],
    },
  ];
}

const WHEN_IT_FAILS = [
  'Stop. Set apart what was made since the last good check.',
  'Look for bubbles in the syringe, a bent, blocked or wrong needle, another pressure than the card’s, resin past its age.',
  'Put it right, prime, and lay fresh dots on a clean surface.',
  'Dots alike, but all low or all high: have the dwell trimmed by a release check, never by feel.',
  'Dots scattered, or still wrong: leave it stopped and call the engineer.',
];

function failPart(s: CardLayout): Block[] {
  const column = (s.right - s.left - 8) / 2;
  const lists = [WHEN_IT_FAILS.slice(0, 3), WHEN_IT_FAILS.slice(3)];
  let number = 0;
  const blocks = lists.map((list, i): Block => {
    const x = s.left + i * (column + 8);
    let y = s.fail + 10;
    const items = list.map((words): Block => {
      number++;
      const set = paragraph(
        words,
        { x: x + 5, y, width: column - 5, leading: 3.5, font: 'regular', size: 8.5 },
        s.measure,
      );
      const marks: Mark[] = [text(x, y, String(number), 8.5, { font: 'semibold' }), ...set];
      y += set.length * 3.5 + 0.9;
      return { tag: 'LI', blocks: [{ tag: 'LBody', marks }] };
    });
    return { tag: 'L', blocks: items };
  });
  return [artifact(rule(s.left, s.right, s.fail)), heading(s.left, s.fail + 5, 'When a check fails'), ...blocks];
}

function endPart(s: CardLayout): Block[] {
  const { input } = s;
  const mixed = input.card.mixed_at === null ? [{ label: 'Mixed at', share: 2 }] : [];
  const line = { x: s.left, width: s.right - s.left };
  const first = [
    { label: 'Operator', share: 3 },
    { label: 'Date', share: 2 },
    { label: 'Syringe', share: 2 },
    { label: 'Lot', share: 2 },
    ...mixed,
  ];
  const second = [
    { label: 'First dot, mm', share: 2 },
    { label: 'Bars across, down, mm', share: 3 },
    { label: 'Released by', share: 3 },
  ];
  const small = { ...line, leading: 2.9, font: 'regular', size: TYPE.small, lines: 4 } as const;
  return [
    artifact(rule(s.left, s.right, s.end)),
    blanks(first, { ...line, y: s.end + 5.6 }, s.measure),
    blanks(second, { ...line, y: s.end + 12 }, s.measure),
    textBlock(CAUTION_TEXT, { ...small, y: s.end + 17.2 }, s.measure),
    footPart(s, 1),
  ];
}

function footPart(s: CardLayout, page: number): Block {
  const made = madeText(s.input, { before: `recipe format ${s.input.format}` });
  return foot(made, `Page ${page} of 2`, { left: s.left, right: s.right, y: s.height - 10.5 }, s.measure);
}
