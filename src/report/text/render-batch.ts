import type { BatchResult, ScheduleKeys } from '../../analysis/batch/batch.ts';
import { daysOf, mixingStretch, type Stretch, touches, usedStretches } from '../chart/batch-chart.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** Why a syringe is laid aside, in words. */
const ENDED: Readonly<Record<ScheduleKeys['ended_by'], string>> = {
  empty: 'empty',
  viscosity_factor: 'too thick',
  age: 'too old',
  gel: 'near its gel point',
  dwell: 'dwell limit',
  pressure: 'pressure limit',
  break: 'break too long',
  batch: 'batch done',
};

/** What to get ready, when to mix, syringe by syringe, and the timeline. */
export function renderBatch(batch: BatchResult, view: View): string {
  return blocksText([
    needs(batch, view),
    mixTable(batch, view),
    scheduleTable(batch, view),
    textTimeline(batch, view),
    `Taken for granted:\n${batch.assumptions.map(a => hanging(a, view)).join('\n')}`,
    madeBy(batch.models, batch.defaults, view),
  ]);
}

function hanging(text: string, view: View): string {
  return paragraph(text, view.columns, '  ').replace(/^ {2}/, '- ');
}

function needs(b: BatchResult, view: View): string {
  const days = daysOf(b).length;
  const assemblies = b.ends_per_assembly === 1 ? '' : ` (${b.assemblies} assemblies of ${b.ends_per_assembly} ends)`;
  const kit = `${numberText(b.kit_mL)} mL${b.kit_g === null ? '' : ` = ${numberText(b.kit_g)} g`}`;
  const perKit = b.syringes_per_kit === 1 ? '' : `, fills up to ${b.syringes_per_kit} syringes`;
  const w = b.waste;
  return pairsText(
    [
      ['connectors', `${b.connectors} good${assemblies}, ${view.style.strong(String(b.connectors_started))} started`],
      ['kits', `${view.style.strong(String(b.kits))} of ${kit}${perKit}`],
      ['kit limits', kitLimits(b)],
      ['syringes', syringes(b, view)],
      ['needles', view.style.strong(String(b.needles))],
      ['resin used', `${amount(b.resin_used_mL, b.resin_used_mg)}, ${numberText(b.per_connector_uL)} µL a connector`],
      [
        'resin wasted',
        `${amount(b.resin_wasted_mL, b.resin_wasted_mg)}, ${fixedText(b.resin_wasted_pct, 1)} % of what is mixed`,
      ],
      [
        '  of it',
        `prime ${numberText(w.prime_mL)} mL, dead volume in syringes ${numberText(w.left_in_syringes_mL)} mL, mixing ${numberText(w.mixing_loss_mL)} mL, not filled ${numberText(w.not_filled_mL)} mL`,
      ],
      ['work', `${moment(b.start, b.start_day, days)} (first mixing) to ${moment(b.finish, b.finish_day, days)}`],
      [
        'pot life used',
        `${numberText(b.ready_after_min)} min to ${b.last_age_min === null ? 'no end' : `${numberText(b.last_age_min)} min`} after mixing`,
      ],
      ['earliest finish', fastest(b, days)],
      ['cost', costText(b)],
    ],
    view,
  );
}

function kitLimits({ least_kit_g: least, largest_kit_g: largest }: BatchResult): string | null {
  const bounds = [
    ...(least === null ? [] : [`${numberText(least)} g at least, by the scale`]),
    ...(largest === null ? [] : [`${numberText(largest)} g at most, by the heat`]),
  ];
  return bounds.length === 0 ? null : bounds.join('; ');
}

function syringes(b: BatchResult, view: View): string {
  const fill = `${view.style.strong(String(b.syringes))} of ${numberText(b.fill_mL)} mL`;
  return b.least_fill_mL < b.fill_mL / 2
    ? `${fill}; a fill of ${numberText(b.least_fill_mL)} mL would do for this schedule`
    : `${fill}, up to ${b.connectors_per_syringe} connectors each`;
}

function fastest(b: BatchResult, days: number): string | null {
  const { fastest: f } = b;
  if (f.kits === b.kits) return null;
  const when = moment(f.finish, f.finish_day, Math.max(days, f.finish_day));
  return `${when}, with ${f.kits} kits and ${numberText(f.resin_wasted_mL)} mL wasted (--prefer finish)`;
}

/** What it costs, and of what. */
export function costText({ cost: c }: Pick<BatchResult, 'cost'>): string | null {
  if (c === null) return null;
  const unit = c.currency === null ? '' : ` ${c.currency}`;
  const parts = (['kits', 'syringes', 'needles'] as const).flatMap(key =>
    c[key] === null ? [] : [`${key} ${c[key].toFixed(2)}`],
  );
  return `${c.total.toFixed(2)}${unit} (${parts.join(', ')}); ${c.per_good_connector.toFixed(4)}${unit} a good connector`;
}

function amount(mL: number, mg: number | null): string {
  return `${numberText(mL)} mL${mg === null ? '' : ` = ${numberText(mg / 1000)} g`}`;
}

function moment(clock: string, day: number, days: number): string {
  return days > 1 ? `${clock} on day ${day}` : clock;
}

function mixTable(b: BatchResult, view: View): string {
  const days = daysOf(b).length;
  const rows = b.mixes.map(mix => [moment(mix.at, mix.day, days), String(mix.kit), syringeList(mix.for_syringes)]);
  return tableText([{ head: 'mix at' }, { head: 'kit', align: 'right' }, { head: 'for syringe' }], rows, view);
}

/** "3", "3 to 5": the syringes of a kit follow one another. */
function syringeList(numbers: readonly number[]): string {
  return numbers.length === 1 ? String(numbers[0]) : `${numbers[0]} to ${numbers.at(-1)}`;
}

function scheduleTable(b: BatchResult, view: View): string {
  const days = daysOf(b).length;
  const several = b.stations > 1;
  const rows = b.schedule.map(s => [
    String(s.syringe),
    String(s.kit),
    ...(several ? [String(s.station)] : []),
    ...(days > 1 ? [String(s.first_day)] : []),
    s.first_at,
    s.last_at,
    fixedText(s.last_age_min, 1),
    String(s.connectors),
    fixedText(s.dispensed_mL, 3),
    fixedText(s.wasted_mL, 3),
    ENDED[s.ended_by] ?? NONE,
  ]);
  const heads = [
    'syringe',
    'kit',
    ...(several ? ['station'] : []),
    ...(days > 1 ? ['day'] : []),
    'first',
    'last',
    'age min',
    'connectors',
    'out mL',
    'waste mL',
  ];
  return tableText([...heads.map(head => ({ head, align: 'right' as const })), { head: 'ends' }], rows, view);
}

const DAY = 1440; // [min]
/** Signs of one hour under the axis. */
const AXIS_LABEL = 6;

/** One row a syringe: `+` being mixed, `.` standing, `#` at the station. */
function textTimeline(b: BatchResult, view: View): string {
  return daysOf(b)
    .map(day => dayTimeline(b, day, view))
    .join('\n\n');
}

function dayTimeline(b: BatchResult, day: number, view: View): string {
  const uses = b.schedule.filter(use => touches(use, day));
  const ends = uses.flatMap(use => [use.mixed_at_min, use.last_at_min + b.takt_s / 60]);
  const from = Math.max(day * DAY, Math.floor(Math.min(...ends) / 60) * 60);
  const to = Math.min((day + 1) * DAY, Math.ceil(Math.max(...ends) / 60) * 60);
  const label = (use: ScheduleKeys) => `${use.mixed_at} kit ${use.kit}, syringe ${use.syringe} `;
  const margin = Math.max(...uses.map(use => label(use).length));
  const width = Math.max(10, Math.min(view.columns, 110) - margin - AXIS_LABEL);
  const place = (minute: number) => Math.round(((minute - from) / (to - from)) * width);
  const rows = uses.map(use => {
    const cells = new Array<string>(width).fill(' ');
    cells.fill('.', Math.max(0, place(use.mixed_at_min)), place(use.last_at_min));
    const mark = (sign: string, s: Stretch) => {
      const begin = Math.max(0, place(s.from));
      cells.fill(sign, begin, Math.max(begin + 1, place(s.to)));
    };
    const mixing = mixingStretch(b, use);
    if (mixing.to > Math.max(mixing.from, from)) mark('+', mixing);
    for (const s of usedStretches(b, use)) mark('#', s);
    return `${label(use).padEnd(margin)}${cells.slice(0, width).join('')}`.trimEnd();
  });
  const head = daysOf(b).length > 1 ? `Day ${day + 1}` : 'Timeline';
  return [`${head}: + being mixed; . standing; # at the station`, ...rows, axis({ from, to, margin, width })].join(
    '\n',
  );
}

/** Full hours under the rows, as many as find room. */
function axis(p: { from: number; to: number; margin: number; width: number }): string {
  const cells = new Array<string>(p.margin + p.width + AXIS_LABEL).fill(' ');
  const hours = (p.to - p.from) / 60;
  const step = Math.max(1, Math.ceil((hours * 9) / p.width));
  for (let k = 0; k <= hours; k += step) {
    const at = p.margin + Math.round(((k * 60) / (p.to - p.from)) * p.width);
    const hour = (Math.round(p.from / 60) + k) % 24;
    for (const [i, letter] of [...`|${String(hour).padStart(2, '0')}:00`].entries()) cells[at + i] = letter;
  }
  return cells.join('').trimEnd();
}
