import type { Paper } from '../../analysis/dot/gauge-grid.ts';
import type { Block, Mark } from '../page/marks.ts';
import { artifact, heading, RULE, rule, TYPE, text, textBlock } from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { settingText } from '../words/number-text.ts';
import { barAcross, barDown } from './scale-bars.ts';

/** What frames every page with a gauge: how to print it at its head, the check bars at its foot. */

/** A page and its margins [mm]. */
interface GaugePage {
  readonly measure: TextMeasure;
  readonly height: number;
  readonly left: number;
  readonly right: number;
}

export interface GaugeHeadPlace extends GaugePage {
  readonly title: string;
  readonly name: string;
  readonly paper: Paper;
  /** Kept free at the right end [mm]; default none. */
  readonly beside?: number;
}

export interface CheckBarsPlace extends GaugePage {
  readonly scaleX: number;
  readonly scaleY: number;
}

const PAPER_NAMES = { a4: 'A4, 210 × 297 mm', letter: 'Letter, 8.5 × 11 in' } as const;

/** Title, name of the recipe, and how to print. */
export function gaugeHead(s: GaugeHeadPlace): Block[] {
  const boxWidth = 46;
  const x = s.right - (s.beside ?? 0) - boxWidth;
  const nameBox = {
    x: s.left,
    y: 27.6,
    width: x - s.left - 8,
    leading: 4.8,
    font: 'medium',
    size: 11,
    lines: 2,
  } as const;
  return [
    heading(s.left, 20.6, s.title, 'H1'),
    textBlock(s.name, nameBox, s.measure),
    artifact({ kind: 'box', x, y: 14, boxWidth, boxHeight: 18, width: RULE.strong }),
    {
      tag: 'P',
      marks: [
        text(x + boxWidth / 2, 20.3, 'Print at 100 %', 12, { font: 'semibold', align: 'center' }),
        text(x + boxWidth / 2, 24.8, PAPER_NAMES[s.paper], TYPE.label, { align: 'center' }),
        text(x + boxWidth / 2, 29.2, 'Print again, do not copy', TYPE.label, { align: 'center', font: 'medium' }),
      ],
    },
    artifact(rule(s.left, s.right, 35.2, RULE.strong)),
  ];
}

/** The check bars, how to measure them and how to give the figures back. */
export function checkBars(s: CheckBarsPlace): Block[] {
  const top = s.height - 78; // [mm]
  const beside = s.left + 122;
  const corrected = s.scaleX !== 1 || s.scaleY !== 1;
  const note =
    '1 % off in length is about 3 % in volume. When a bar is off, make the gauge anew with both quotients and print it the same way.' +
    (corrected
      ? ` This one is drawn for x ${settingText(s.scaleX, 7)}, y ${settingText(s.scaleY, 7)}: multiply a new quotient by these.`
      : '');
  const small = { x: beside, width: s.right - beside, leading: 3.3, font: 'regular', size: TYPE.label } as const;
  return [
    artifact(rule(s.left, s.right, top, RULE.normal)),
    heading(s.left, top + 5.4, 'Check before use: both bars must measure 100 mm, or 4 in'),
    barAcross({ x: s.left + 1, y: top + 15, scale: s.scaleX }),
    barDown({ x: s.right - 11, y: 84, scale: s.scaleY }),
    { tag: 'Caption', marks: [text(s.right - 11, 79.6, 'check bar, down', TYPE.label, { align: 'center' })] },
    textBlock(note, { ...small, y: top + 9.8, lines: 5 }, s.measure),
    measured(s, top + 29, 'Across', 'left', 'x'),
    measured(s, top + 35, 'Down', 'upper', 'y'),
  ];
}

/** One line to write a measured length on, with the edges to measure between and the option that takes the quotient. */
function measured(s: CheckBarsPlace, y: number, direction: string, edge: string, axis: string): Block {
  const first = `${direction}: ${edge} edge of mark 0 to ${edge} edge of mark 100 (4 in)`;
  const end = `--scale-${axis}`;
  const blank = 22;
  let x = s.left;
  const marks: Mark[] = [];
  const put = (words: string, font: 'regular' | 'medium' = 'regular') => {
    marks.push(text(x, y, words, TYPE.body, { font }));
    x += s.measure(words, font, TYPE.body) + 2;
  };
  const write = () => {
    marks.push(rule(x, x + blank, y + 0.6));
    x += blank + 2;
  };
  put(first);
  x = s.left + 84;
  write();
  put('mm ÷ 100  (or in ÷ 4)  =');
  write();
  put(end, 'medium');
  return { tag: 'P', marks };
}
