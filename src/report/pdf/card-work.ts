import type { CardResult } from '../../analysis/card/card.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Block, Mark } from '../page/marks.ts';
import { paragraph } from '../page/set-text.ts';
import { artifact, type Column, heading, rule, TYPE, table, text, textBlock } from '../page/sheet-parts.ts';
import { pressureText } from '../words/display-units.ts';
import { numberText, plain } from '../words/number-text.ts';
import type { CardLayout } from './card-layout.ts';

/** The second page: the work in steps, dwell by temperature and age, what a dot asks for, and lines for the checks of a syringe. */
export function workPart(s: CardLayout): Block[] {
  const steps = stepsPart(s, 19);
  const grid = gridPart(s, steps.end + 4);
  const trims = trimPart(s, grid.end + 4);
  return [...steps.blocks, ...grid.blocks, ...trims.blocks, ...checksPart(s, trims.end + 4)];
}

interface Part {
  readonly blocks: Block[];
  /** Lower edge [mm]. */
  readonly end: number;
}

const LIST = { size: 9, leading: 3.8 } as const;

function stepsPart(s: CardLayout, top: number): Part {
  const words = workSteps(s);
  const column = (s.right - s.left - 8) / 2;
  const half = Math.ceil(words.length / 2);
  let end = top;
  const lists = [words.slice(0, half), words.slice(half)].map((list, side): Block => {
    const x = s.left + side * (column + 8);
    let y = top + 6.5;
    const items = list.map((step, i): Block => {
      const number = String(side * half + i + 1);
      const set = paragraph(step, { x: x + 6, y, width: column - 6, font: 'regular', ...LIST }, s.measure);
      const marks: Mark[] = [text(x, y, number, LIST.size, { font: 'semibold' }), ...set];
      y += set.length * LIST.leading + 1;
      return { tag: 'LI', blocks: [{ tag: 'LBody', marks }] };
    });
    end = Math.max(end, y - 2);
    return { tag: 'L', blocks: items };
  });
  return { blocks: [heading(s.left, top, 'The work in steps'), ...lists], end };
}

function workSteps({ input: { card, units } }: CardLayout): string[] {
  const vacuum = vacuumToSet(card);
  const bead =
    card.bead_mm === null
      ? 'a bead shows on the end face'
      : `the bead on the end face is ${plain(card.bead_mm)} mm across`;
  const bore =
    card.bore_shot === 'by_sight'
      ? `Bore shot: hold until ${bead}, then let go.`
      : `Bore shot: one press by dwell; ${bead}, or stop.`;
  const held =
    vacuum === null ? 'the vacuum as a trial shows' : `the vacuum to ${pressureText(vacuum, units.vacuum, 2)}`;
  return [
    `Prime: fit a new needle and lay ${counted(card.prime_shots, 'shot')} to waste; wipe the tip.`,
    `Set the pressure to ${pressureText(card.pressure_kPa, units.pressure)}, ${held}, and ${card.syringe === null ? 'the program; lay the dots of the first piece' : `the program of this syringe for shot ${card.syringe.shot}; the count of presses starts anew`}.`,
    'Seat: needle in from the rear until it stops.',
    bore,
    'Withdraw the needle off its seat, the tip still inside.',
    'Backfill: one press by dwell; the tip stays inside until it ends.',
    'Fibre in: slowly and straight, as far as it goes; leave the bead as it is.',
    `Lay dots again at the shots below. ${card.stop.shot === 0 ? 'Do not use these settings.' : `Stop after shot ${card.stop.shot}.`}`,
  ];
}

/** The middle of what serves from full to nearly empty [kPa]; null where no one setting does. */
export function vacuumToSet({ hold_back: held }: CardResult): number | null {
  const range = held?.safe.common_range ?? held?.common_range ?? null;
  return range === null ? null : (range.min_kPa + range.max_kPa) / 2;
}

/** What a table says of itself, below its heading. */
function noteBelow(s: CardLayout, top: number, lines: number) {
  const place = { x: s.left, y: top + 9.6, width: s.right - s.left };
  return { ...place, leading: 3.3, font: 'regular', size: TYPE.label, lines } as const;
}

/** Ages that a page has room for, and rows of temperatures. */
const MOST_AGES = 11;
const MOST_TEMPERATURES = 9;

function gridPart(s: CardLayout, top: number): Part {
  const { grid, dwell_decimals: decimals } = s.input.card;
  const rule1 = artifact(rule(s.left, s.right, top));
  const title = heading(s.left, top + 5.4, 'Dwell s by temperature and age');
  if (grid === null) {
    const none = {
      x: s.left,
      y: top + 10.4,
      width: s.right - s.left,
      leading: 3.5,
      font: 'regular',
      size: TYPE.body,
    } as const;
    return {
      blocks: [rule1, title, textBlock('No run can be planned at one temperature.', none, s.measure)],
      end: top + 13,
    };
  }
  const ages = thinned(grid.ages_min.length, MOST_AGES);
  const rows = thinned(grid.temperatures_C.length, MOST_TEMPERATURES).map(t => {
    const celsius = grid.temperatures_C[t]!;
    const cells = ages.map(a => grid.dwell_s[t]![a]?.toFixed(decimals) ?? '–');
    const stop = grid.stop_min[t] ?? null;
    return [celsius.toFixed(1), (celsius * 1.8 + 32).toFixed(1), ...cells, stop === null ? '–' : stop.toFixed(0)];
  });
  const width = (s.right - s.left - 30 - 18) / Math.max(ages.length, 6);
  const columns: Column[] = [
    { title: '°C', width: 14, align: 'right' },
    { title: '°F', width: 16, align: 'right' },
    ...ages.map(a => ({ title: `${plain(grid.ages_min[a]!)} min`, width, align: 'right' as const })),
    { title: 'stop min', width: 18, align: 'right' },
  ];
  const note = noteBelow(s, top, 1);
  const { syringe } = s.input.card;
  const whose =
    syringe === null
      ? 'a syringe as thick as the recipe'
      : `this syringe, ${numberText(syringe.thickness)} times as thick as the recipe`;
  const words = `Exact dwell of ${whose}, age from mixing; past the stop there is none. Measure the temperature at the syringe.`;
  return {
    blocks: [
      rule1,
      title,
      textBlock(words, note, s.measure),
      table({ x: s.left, y: top + 14.6, leading: 5, columns, rows, size: 9 }, s.measure),
    ],
    end: top + 14.6 + 5 * rows.length + 3,
  };
}

/** Places of so many things that are shown, evenly and with the first. */
function thinned(count: number, most: number): number[] {
  const every = Math.ceil(count / most);
  return Array.from({ length: Math.ceil(count / every) }, (_, i) => i * every);
}

const TRIM_ROWS = 10;

function trimPart(s: CardLayout, top: number): Part {
  const { trims, trims_at_shot: at, syringe, dwell_decimals: decimals, dot } = s.input.card;
  const head = [artifact(rule(s.left, s.right, top)), heading(s.left, top + 5.4, 'What the dots ask for')];
  const note = noteBelow(s, top, 2);
  if (trims.length === 0 || dot === null) {
    return {
      blocks: [
        ...head,
        textBlock(
          syringe !== null && dot !== null
            ? 'No check is due before the end of this syringe.'
            : 'No dots for these settings: have a release check decide.',
          note,
          s.measure,
        ),
      ],
      end: top + 12,
    };
  }
  const whose =
    syringe === null ? 'of a fresh syringe at its first shot' : `of this syringe at shot ${at}, its next check,`;
  const words = `Three dots of ${counted(dot.shots_per_circle, 'shot')}, alike to 0.1 mm, ${whose} and ${plain(s.input.card.temperature_C)} °C; between two rows the nearer one. Dots that differ more: a release check decides.`;
  const rows = trims.map(t => [
    t.diameter_mm.toFixed(1),
    t.dwell_s === null ? 'stop' : t.dwell_s.toFixed(decimals),
    t.add_s === null
      ? '–'
      : t.stages > 1
        ? 'by release'
        : t.add_s === 0
          ? 'none'
          : `${t.add_s.toFixed(decimals)} s every ${t.every}`,
    t.action === 'keep' ? 'as it is' : t.action === 'set' ? 'set anew' : 'lay aside',
  ]);
  const each = Math.max(1, Math.min(rows.length, Math.max(TRIM_ROWS, Math.ceil(rows.length / 2))));
  const tables = Math.ceil(rows.length / each);
  const columns: Column[] = [
    { title: 'across mm', width: 16, align: 'right' },
    { title: syringe === null ? 'first dwell s' : `dwell s, ${at}`, width: 20, align: 'right' },
    { title: 'add', width: 28, align: 'right' },
    { title: '', width: 20 },
  ];
  const blocks = Array.from({ length: tables }, (_, i) => {
    const x = s.left + i * 94;
    return table(
      { x, y: top + 17, leading: 5, columns, rows: rows.slice(i * each, (i + 1) * each), size: 8.5 },
      s.measure,
    );
  });
  return { blocks: [...head, textBlock(words, note, s.measure), ...blocks], end: top + 17 + 5 * each + 3 };
}

function checksPart(s: CardLayout, top: number): Block[] {
  const { checks, trims, dot, mixed_at, syringe } = s.input.card;
  const lines = checks.map(c => [String(c.shot), numberText(c.age_min, 3), c.at ?? '', '', '', '', '', '']);
  const unit = dot === null || (trims.length === 0 && syringe === null) ? 'mg' : 'mm';
  const columns: Column[] = [
    { title: 'shot', width: 14, align: 'right' },
    { title: 'age min', width: 18, align: 'right' },
    { title: mixed_at === null ? 'clock' : 'at', width: 22, align: 'right' },
    { title: `1st ${unit}`, width: 24, align: 'right' },
    { title: `2nd ${unit}`, width: 24, align: 'right' },
    { title: `3rd ${unit}`, width: 24, align: 'right' },
    { title: '°C', width: 20, align: 'right' },
    { title: 'initials', width: 26, align: 'right' },
  ];
  const note = noteBelow(s, top, 1);
  const words = `${counted(checks.length, 'check')} ${syringe === null ? 'a syringe' : 'to come'}, and one after every new needle and every pause; our choice, make it more where the line drifts.`;
  const head = [artifact(rule(s.left, s.right, top)), heading(s.left, top + 5.4, 'Checks of this syringe')];
  if (checks.length === 0) return head;
  return [
    ...head,
    textBlock(words, note, s.measure),
    table({ x: s.left, y: top + 14.6, leading: 7, columns, rows: lines, size: 9 }, s.measure),
  ];
}
