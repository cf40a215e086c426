import type { CardResult } from '../../analysis/card/card.ts';
import { CARD_DOT_FIELD } from '../../analysis/card/card-dot.ts';
import type { Block } from '../page/marks.ts';
import { artifact, type Column, heading, rule, TYPE, table, text, textBlock } from '../page/sheet-parts.ts';
import { inchText, type LengthUnit } from '../words/display-units.ts';
import { numberText, plain } from '../words/number-text.ts';
import { cardChart } from './card-chart.ts';
import type { CardLayout } from './card-layout.ts';
import { gaugeCell } from './gauge-cell.ts';
import { ringLines, ringSample } from './gauge-rings.ts';
import { barAcross } from './scale-bars.ts';

/** The dot to scale with its bars, and beside it what dwell and viscosity do. */
export function firstPiecePart(s: CardLayout): Block[] {
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

function dotBlocks(s: CardLayout): Block[] {
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
  const lines = ringLines(dot);
  const { length } = s.input.units;
  const inches = length === 'in';
  const rows = dot.rings.map(ring => [
    ring.name,
    ringSample(ring.name, lines, inches ? 5 : 8),
    ring.diameter_mm.toFixed(2),
    ...(inches ? [inchText(ring.diameter_mm)] : []),
    numberText(ring.mass_mg),
  ]);
  const columns: Column[] = [
    { title: 'Ring', width: inches ? 8 : 9 },
    { title: 'Line', width: inches ? 7 : 10 },
    { title: inches ? 'mm' : 'Across mm', width: inches ? 10 : 16, align: 'right' },
    ...(inches ? [{ title: 'in', width: 11, align: 'right' } as const] : []),
    { title: 'mg', width: inches ? 8.5 : 10, align: 'right' },
  ];
  const field = CARD_DOT_FIELD.width * 1000;
  const start = s.left + 47;
  const place = field / dot.circles;
  const note = {
    x: s.left,
    y: top + 30.4,
    width: 45,
    leading: 2.8,
    font: 'regular',
    size: TYPE.small,
    lines: 7,
  } as const;
  return [
    table({ x: s.left, y: top + 10.4, leading: 5, columns, rows }, s.measure),
    textBlock(dotNote(dot, length), note, s.measure),
    ...Array.from({ length: dot.circles }, (_, i) =>
      gaugeCell({ gauge: dot, number: i + 1, x: start + (i + 0.5) * place, y: top + 19.5, length }),
    ),
  ];
}

function dotNote(dot: NonNullable<CardResult['dot']>, length: LengthUnit): string {
  const many = dot.shots_per_circle;
  const shots = many === 1 ? 'One shot on a circle' : `${many} shots on one circle, all on the same spot`;
  const after =
    dot.read_after_s === null ? 'always after the same time' : `${plain(dot.read_after_s)} s after the last`;
  const [low, high] = dot.ok_mm;
  const inches = length === 'in' ? ` (${inchText(low)} to ${inchText(high)} in)` : '';
  const between = `ok from ${low.toFixed(2)} to ${high.toFixed(2)} mm${inches}, else ok, trim`;
  return `${shots}, ${dot.surface ?? 'on the same flat surface'}; read from above ${after}. Low: inside min. High: beyond max. Between: ${between}.`;
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

function charts(s: CardLayout): Block[] {
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
