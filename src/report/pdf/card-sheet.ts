import type { CardResult } from '../../analysis/card.ts';
import { CARD_DOT_FIELD } from '../../analysis/card-dot.ts';
import { PAPER_SIZES } from '../../analysis/gauge-grid.ts';
import { CAUTION_TEXT } from '../cautions.ts';
import { type DisplayUnits, pressureNumber, pressureText } from '../display-units.ts';
import { numberText } from '../number-text.ts';
import { cardChart } from './card-chart.ts';
import { rampTable, stageText } from './card-ramp.ts';
import { barAcross, barDown } from './check-bars.ts';
import { drawPdf } from './draw-pdf.ts';
import { gaugeCell, RING_STYLES, ringWidth } from './gauge-cell.ts';
import type { Block, FontName, Mark, SheetDocument } from './marks.ts';
import { fitText, paragraph, plainText } from './set-text.ts';
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
  text,
  textBlock,
} from './sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from './text-measure.ts';

export interface CardSheetInput {
  readonly card: CardResult;
  readonly units: DisplayUnits;
  /** Name of the recipe, of any length. */
  readonly name: string;
  /** SHA-256 of the inputs in hexadecimal. */
  readonly digest: string;
  /** Version of the recipe format. */
  readonly format: number;
  /** Program and version, as in "dwellbook 0.1.0". */
  readonly creator: string;
  /** Goes into the file as its date of creation. */
  readonly created: Date;
}

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
  const size = PAPER_SIZES[input.card.paper];
  const [width, height] = [size.width * 1000, size.height * 1000];
  const right = width - MARGIN;
  const sheet: Sheet = { input, measure, height, left: MARGIN, right, inner: right - BAR_ROOM, ...placesOf(height) };
  const ramp = rampPart(sheet);
  const blocks = [
    ...headPart(sheet),
    ...settingsPart(sheet),
    ...ramp.blocks,
    ...stopPart(sheet),
    ...checkPart(sheet),
    ...failPart(sheet),
    ...endPart(sheet),
  ];
  const document: SheetDocument = {
    title: `Setup card: ${plainText(input.name)}`,
    subject: 'Settings, ramp, first-piece check and stop of one recipe, to hang at the station',
    lang: 'en',
    creator: input.creator,
    created: input.created,
    pages: [{ width, height, blocks }],
  };
  return { document, stepsLeftOut: ramp.leftOut };
}

interface Sheet {
  readonly input: CardSheetInput;
  readonly measure: TextMeasure;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  /** Right end of what stands beside the upright check bar. */
  readonly inner: number;
  /** Upper edges of the parts [mm]. */
  readonly stop: number;
  readonly check: number;
  readonly fail: number;
  readonly end: number;
}

const MARGIN = 12; // [mm]
const BAR_ROOM = 25;
const RAMP_TOP = 73; // first line of the ramp [mm]

/** The parts below the ramp keep their heights and stand at the foot; the ramp has what is left. */
function placesOf(height: number): Pick<Sheet, 'stop' | 'check' | 'fail' | 'end'> {
  const end = height - 43.5;
  const fail = end - 24;
  const check = fail - 66;
  return { end, fail, check, stop: check - 16 };
}

function headPart(s: Sheet): Block[] {
  const { card, name } = s.input;
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
  const state = card.settings === 'released' ? 'Released settings' : 'Computed, not released';
  return [
    heading(s.left, 19, 'Setup card', 'H1'),
    textBlock(name, nameBox, s.measure),
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

interface Cell {
  readonly label: string;
  readonly value: string;
  readonly width: number;
  readonly sizes: readonly number[];
  readonly notes: readonly string[];
}

/** The settings, large, each with what belongs to it in small beneath; then the facts of the shot. */
function settingsPart(s: Sheet): Block[] {
  const { card, units } = s.input;
  let x = s.left;
  const cells = settingCells(card, units).map((cell): Block => {
    const at = x;
    x += cell.width * (s.inner - s.left);
    const width = x - at - 3;
    const size = sizeThatFits(cell, width, s.measure);
    const small = { font: 'regular', size: TYPE.label } as const;
    return {
      tag: 'P',
      marks: [
        text(at, 37.4, cell.label, TYPE.label),
        text(at, 46.8, fitText(cell.value, width, { font: 'semibold', size }, s.measure), size, { font: 'semibold' }),
        ...cell.notes.map((note, i) => text(at, 51.6 + i * 3.4, fitText(note, width, small, s.measure), TYPE.label)),
      ],
    };
  });
  const lines = {
    x: s.left,
    y: 62.2,
    width: s.inner - s.left,
    leading: 3.5,
    font: 'regular',
    size: TYPE.body,
    lines: 2,
  } as const;
  return [
    ...cells,
    artifact(rule(s.left, s.inner, 57.6)),
    textBlock(shotFacts(card, units), lines, s.measure),
    barDown({ x: s.right - 10.5, y: 40, scale: 1 }),
    { tag: 'Caption', marks: [text(s.right - 10.5, 36.4, 'check bar, down', TYPE.label, { align: 'center' })] },
  ];
}

function sizeThatFits({ value, sizes }: Cell, width: number, measure: TextMeasure): number {
  return sizes.find(size => measure(value, 'semibold', size) <= width) ?? sizes.at(-1)!;
}

function settingCells(card: CardResult, units: DisplayUnits): Cell[] {
  const { needle, hold_back: held } = card;
  const kilo = units.pressure.name === 'kPa' ? [] : [`${plain(card.pressure_kPa, 4)} kPa`];
  const range = (r: { min_kPa: number; max_kPa: number }) =>
    `${pressureNumber(r.min_kPa, units.vacuum, 3)}–${pressureNumber(r.max_kPa, units.vacuum, 3)} ${units.vacuum.name}`;
  const vacuum =
    held === null ? 'not computed' : held.common_range === null ? 'two settings' : range(held.common_range);
  const name = needle.gauge === null ? `${numberText(needle.bore_mm)} mm` : `${needle.gauge} ${needle.wall}`;
  return [
    {
      ...{
        label: 'Pressure',
        value: pressureText(card.pressure_kPa, units.pressure),
        width: 0.27,
        sizes: [26, 24, 22, 20, 18, 16],
      },
      notes: [...kilo, 'at the regulator'],
    },
    {
      ...{
        label: 'First dwell',
        value: `${card.dwell_s.toFixed(card.dwell_decimals)} s`,
        width: 0.19,
        sizes: [26, 24, 22, 20, 18, 16],
      },
      notes: card.ramp.steps.length > 1 ? ['then as the ramp says'] : ['for every shot'],
    },
    {
      ...{ label: 'Needle', value: name, width: 0.22, sizes: [18, 16, 14, 12] },
      notes: [`${plain(needle.length_mm)} mm long`, `bore ${plain(needle.bore_mm)} mm`],
    },
    {
      ...{
        label: 'Prime',
        value: `${card.prime_shots} ${card.prime_shots === 1 ? 'shot' : 'shots'}`,
        width: 0.13,
        sizes: [18, 16, 14, 12],
      },
      notes: ['to waste with', 'a new needle'],
    },
    {
      ...{ label: 'Hold-back', value: vacuum, width: 0.19, sizes: [18, 16, 14, 12, 11] },
      notes:
        held === null || held.common_range !== null
          ? []
          : [`full ${range(held.full)}`, `nearly empty ${range(held.empty)}`],
    },
  ];
}

function shotFacts(card: CardResult, units: DisplayUnits): string {
  const aim = `Aim ${numberText(card.aim_uL)} µL${card.aim_mg === null ? '' : ` = ${numberText(card.aim_mg)} mg`}`;
  const window = card.window_uL === null ? '' : `, window ${card.window_uL.map(v => numberText(v)).join(' to ')} µL`;
  const tolerance = card.tolerance_pct === null ? '' : `, tolerance ± ${plain(card.tolerance_pct)} %`;
  const c = card.calibration;
  return [
    `${aim}${window}${tolerance}`,
    `bore shot ${card.bore_shot === 'timed' ? 'timed' : 'by sight'}`,
    `one connector every ${plain(card.takt_s)} s`,
    `resin at ${plain(card.temperature_C)} °C, ready ${plain(card.ready_after_min)} min after mixing`,
    c === null
      ? 'not calibrated'
      : `calibrated${c.date === null ? '' : ` ${c.date}`}: viscosity factor ${numberText(c.viscosity_factor)}, pressure offset ${pressureText(c.pressure_offset_kPa, units.pressure, 3)}, dead time ${numberText(c.dead_time_s)} s`,
    ...(card.station === null ? [] : [`station ${card.station}`]),
    ...(card.resin === null ? [] : [`resin ${card.resin}`]),
  ].join('; ');
}

function rampPart(s: Sheet): { blocks: Block[]; leftOut: number } {
  const { card } = s.input;
  const width = s.inner - s.left;
  const { steps, stages } = card.ramp;
  const title =
    steps.length === 1
      ? 'Dwell stays the same'
      : stages.length === 1
        ? `Ramp: ${stageText(card, 0)}`
        : `Ramp in ${stages.length} stages`;
  const box = { x: s.left, y: RAMP_TOP + 9.4, width, height: s.stop - 2 - (RAMP_TOP + 9.4) };
  const made = rampTable(card, box, s.measure);
  const note = made.leftOut === 0 ? '' : ` ${made.leftOut} steps do not fit here: set the program at the station.`;
  const shown = fitText(title, width, { font: 'semibold', size: TYPE.heading }, s.measure);
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
  }[card.ramp.basis];
  const when = card.mixed_at === null ? '' : ` Mixed at ${card.mixed_at}, first shot at ${card.first_shot_at}.`;
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

function stopPart(s: Sheet): Block[] {
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

/** The dot to scale with its bars, and beside it what dwell and viscosity do. */
function checkPart(s: Sheet): Block[] {
  const top = s.check;
  return [
    artifact(rule(s.left, s.right, top)),
    heading(s.left, top + 5.2, 'First-piece check'),
    ...dotBlocks(s),
    {
      tag: 'Caption',
      marks: [
        text(s.left, top + 49.6, 'Check before use: both bars must measure 100 mm, or 4 in.', TYPE.label, {
          font: 'medium',
        }),
      ],
    },
    barAcross({ x: s.left + 1, y: top + 57, scale: 1 }),
    ...charts(s),
  ];
}

function dotBlocks(s: Sheet): Block[] {
  const { card } = s.input;
  const { dot } = card;
  const top = s.check;
  if (dot === null)
    return [
      textBlock(
        weighing(card),
        { x: s.left, y: top + 12, width: 104, leading: 4, font: 'regular', size: 9.5, lines: 8 },
        s.measure,
      ),
    ];
  const width = ringWidth(dot);
  const rows = dot.rings.map(ring => [
    ring.name,
    sample(ring.name, width),
    ring.diameter_mm.toFixed(2),
    numberText(ring.mass_mg),
  ]);
  const columns = [
    { title: 'Ring', width: 9 },
    { title: 'Line', width: 10 },
    { title: 'Across mm', width: 16, align: 'right' },
    { title: 'mg', width: 10, align: 'right' },
  ] as const;
  const field = CARD_DOT_FIELD.width * 1000;
  const start = s.left + 47;
  const place = field / dot.circles;
  const note = {
    x: s.left,
    y: top + 31,
    width: 44,
    leading: 3.1,
    font: 'regular',
    size: TYPE.label,
    lines: 6,
  } as const;
  return [
    table({ x: s.left, y: top + 10.4, leading: 5, columns, rows }, s.measure),
    textBlock(dotNote(dot), note, s.measure),
    ...Array.from({ length: dot.circles }, (_, i) =>
      gaugeCell({ gauge: dot, number: i + 1, x: start + (i + 0.5) * place, y: top + 27.4 }),
    ),
  ];
}

function sample(name: keyof typeof RING_STYLES, width: number): TableDrawing {
  const style = RING_STYLES[name];
  return {
    alt: `${style.words} line`,
    draw: (x, baseline): Mark[] => [
      {
        kind: 'line',
        x1: x,
        y1: baseline - 1,
        x2: x + 8,
        y2: baseline - 1,
        width,
        ...(style.dash && { dash: style.dash }),
      },
    ],
  };
}

function dotNote(dot: NonNullable<CardResult['dot']>): string {
  const many = dot.shots_per_circle;
  const shots = many === 1 ? 'One shot on a circle' : `${many} shots on one circle, all on the same spot`;
  const after =
    dot.read_after_s === null ? 'always after the same time' : `${plain(dot.read_after_s)} s after the last`;
  return `${shots}, ${dot.surface ?? 'on the same flat surface'}; read from above ${after}. Low: inside min. Ok: from min to max. High: beyond max.`;
}

function weighing(card: CardResult): string {
  const shot = `${numberText(card.aim_uL)} µL${card.aim_mg === null ? '' : ` = ${numberText(card.aim_mg)} mg`}`;
  const { window_uL: window, aim_uL: aim, aim_mg: mg } = card;
  const limits =
    window === null
      ? ''
      : mg === null
        ? `, from ${window.map(v => numberText(v)).join(' to ')} µL`
        : `, from ${window.map(v => numberText((v * mg) / aim)).join(' to ')} mg`;
  return `There is no dot to scale for this recipe. Weigh the first piece: ten shots together, a tenth of it is one shot. One shot is ${shot}${limits}.`;
}

function charts(s: Sheet): Block[] {
  const { card } = s.input;
  const x = s.left + 115;
  const box = { x, width: s.right - x, height: 32 };
  const { shots } = card;
  const [first, last] = [shots[0]!, shots.at(-1)!];
  const figure = (value: number) => numberText(value, 3);
  return [
    cardChart(
      {
        title: 'Dwell s',
        xLabel: 'shot',
        alt: `Dwell from ${figure(first.dwell_s)} s at shot 1 to ${figure(last.dwell_s)} s at shot ${last.shot}.`,
        lines: [
          { name: 'to set', dash: 'solid', steps: true, points: shots.map(p => [p.shot, p.dwell_s]) },
          { name: 'exact', dash: 'dotted', points: shots.map(p => [p.shot, p.exact_dwell_s]) },
        ],
      },
      { ...box, y: s.check + 1.4 },
      s.measure,
    ),
    cardChart(
      {
        title: 'Viscosity over that at mixing',
        xLabel: 'age, min',
        alt: `Viscosity factor from ${figure(first.viscosity_factor)} at ${figure(first.age_min)} min to ${figure(last.viscosity_factor)} at ${figure(last.age_min)} min.`,
        lines: [{ name: '', dash: 'solid', points: shots.map(p => [p.age_min, p.viscosity_factor]) }],
      },
      { ...box, y: s.check + 33.4 },
      s.measure,
    ),
  ];
}

const WHEN_IT_FAILS = [
  'Stop. Set apart what was made since the last good check.',
  'Look for bubbles in the syringe, a bent, blocked or wrong needle, another pressure than the card’s, resin past its age.',
  'Put it right, prime, and lay fresh dots on a clean surface.',
  'Dots alike, but all low or all high: have the dwell trimmed by a release check, never by feel.',
  'Dots scattered, or still wrong: leave it stopped and call the engineer.',
];

function failPart(s: Sheet): Block[] {
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
      const marks: Mark[] = [text(x, y, String(number), 8.5, { font: 'semibold' as FontName }), ...set];
      y += set.length * 3.5 + 0.9;
      return { tag: 'LI', blocks: [{ tag: 'LBody', marks }] };
    });
    return { tag: 'L', blocks: items };
  });
  return [artifact(rule(s.left, s.right, s.fail)), heading(s.left, s.fail + 5, 'When a check fails'), ...blocks];
}

function endPart(s: Sheet): Block[] {
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
  const made = `${input.creator} · recipe format ${input.format} · inputs ${input.digest.slice(0, 16)} · ${plainText(input.name)}`;
  return [
    artifact(rule(s.left, s.right, s.end)),
    blanks(first, { ...line, y: s.end + 5.6 }, s.measure),
    blanks(second, { ...line, y: s.end + 12 }, s.measure),
    textBlock(CAUTION_TEXT, { ...small, y: s.end + 17.2 }, s.measure),
    foot(made, 'Page 1 of 1', { left: s.left, right: s.right, y: s.height - 10.5 }, s.measure),
  ];
}

/** As many digits as it needs, at most `digits` significant ones: "40", "12.7". */
function plain(value: number, digits = 3): string {
  return String(Number(value.toPrecision(Math.max(digits, Math.ceil(Math.log10(Math.abs(value) + 1))))));
}
