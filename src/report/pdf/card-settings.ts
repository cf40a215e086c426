import type { CardResult } from '../../analysis/card/card.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Block } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import { artifact, rule, TYPE, text, textBlock } from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { type DisplayUnits, pressureNumber, pressureText } from '../words/display-units.ts';
import { kitText } from '../words/kit-text.ts';
import { numberText, plain } from '../words/number-text.ts';
import type { CardLayout } from './card-layout.ts';
import { vacuumToSet } from './card-work.ts';
import { barDown } from './scale-bars.ts';

interface Cell {
  readonly label: string;
  readonly value: string;
  readonly width: number;
  readonly sizes: readonly number[];
  readonly notes: readonly string[];
}

/** The settings, large, each with what belongs to it in small beneath; then the facts of the shot. */
export function settingsPart(s: CardLayout): Block[] {
  const { card, units } = s.input;
  let x = s.left;
  const cells = settingCells(card, units).map((cell): Block => {
    const at = x;
    x += cell.width * (s.inner - s.left);
    const width = x - at - 5;
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
    width: s.inner - s.left,
    font: 'regular',
    size: TYPE.body,
    // a kit takes a third line, and the rule beneath stays where it is
    ...(card.mix === null ? { y: 62.2, leading: 3.5, lines: 2 } : { y: 61, leading: 3.1, lines: 3 }),
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
  const serving = held?.safe.common_range ?? held?.common_range ?? null;
  const middle = vacuumToSet(card);
  const vacuum =
    held === null ? 'not computed' : middle === null ? 'two settings' : pressureText(middle, units.vacuum, 2);
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
        label:
          card.syringe === null || card.syringe.shot === 1 ? 'First dwell' : `Dwell from shot ${card.syringe.shot}`,
        value: `${card.dwell_s.toFixed(card.dwell_decimals)} s`,
        width: 0.19,
        sizes: [26, 24, 22, 20, 18, 16],
      },
      notes: card.ramp.steps.length > 1 ? ['then by the ramp'] : ['for every shot'],
    },
    {
      ...{ label: 'Needle', value: name, width: 0.22, sizes: [18, 16, 14, 12] },
      notes: [`${plain(needle.length_mm)} mm long`, `bore ${plain(needle.bore_mm)} mm`],
    },
    {
      ...{
        label: 'Prime',
        value: counted(card.prime_shots, 'shot'),
        width: 0.13,
        sizes: [18, 16, 14, 12],
      },
      notes: ['to waste with', 'a new needle'],
    },
    {
      ...{ label: 'Hold-back', value: vacuum, width: 0.19, sizes: [18, 16, 14, 12, 11] },
      notes: [
        ...(serving === null ? [] : ['vacuum to set', `serves ${range(serving)}`]),
        ...(held === null || serving !== null ? [] : [`full ${range(held.full)}`, `nearly empty ${range(held.empty)}`]),
      ],
    },
  ];
}

/** No vacuum is safe whatever the plunger has kept. */
function sticking({ hold_back: held }: CardResult): string[] {
  const safe = held === null || held.friction_kPa === 0 || held.safe.common_range !== null;
  return safe ? [] : ['watch the tip, the plunger may stick'];
}

function shotFacts(card: CardResult, units: DisplayUnits): string {
  const aim = `Aim ${numberText(card.aim_uL)} µL${card.aim_mg === null ? '' : ` = ${numberText(card.aim_mg)} mg`}`;
  const window = card.window_uL === null ? '' : `, window ${card.window_uL.map(v => numberText(v)).join(' to ')} µL`;
  const tolerance = card.tolerance_pct === null ? '' : `, tolerance ± ${plain(card.tolerance_pct)} %`;
  const c = card.calibration;
  return [
    `${aim}${window}${tolerance}`,
    ...sticking(card),
    `bore shot ${card.bore_shot === 'by_dwell' ? 'by dwell' : 'by sight'}`,
    ...(card.mix === null ? [] : [`mix ${kitText(card.mix)}`]),
    `one connector every ${plain(card.takt_s)} s`,
    `resin at ${plain(card.temperature_C)} °C, ready ${plain(card.ready_after_min)} min after mixing`,
    c === null
      ? 'not calibrated'
      : `calibrated${c.date === null ? '' : ` ${c.date}`}: viscosity factor ${numberText(c.viscosity_factor)}, pressure offset ${pressureText(c.pressure_offset_kPa, units.pressure, 3)}, dead time ${numberText(c.dead_time_s)} s`,
    ...(card.station === null ? [] : [`station ${card.station}`]),
    ...(card.resin === null ? [] : [`resin ${card.resin}`]),
  ].join('; ');
}
