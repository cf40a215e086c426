import type { CardResult } from '../../analysis/card/card.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { displayUnits, pressureText } from '../words/display-units.ts';
import { kitText } from '../words/kit-text.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, numberText } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** What the card says, for a terminal. */
export function renderCard(card: CardResult, view: View, recipe: Recipe): string {
  return blocksText([head(card, view, recipe), stepTable(card, view), madeBy(card.models, card.defaults, view)]);
}

function head(card: CardResult, view: View, recipe: Recipe): string {
  const units = displayUnits(recipe);
  const state =
    card.settings === 'released' ? view.style.good(card.settings) : view.style.warning(STATES[card.settings]);
  const { needle, stop, hold_back: held } = card;
  const clock = stop.at === null ? '' : ` (${stop.at})`;
  const gauge = needle.gauge === null ? '' : `${needle.gauge} ${needle.wall}, `;
  const range = (r: { min_kPa: number; max_kPa: number }) =>
    `${pressureText(r.min_kPa, units.vacuum, 3)} to ${pressureText(r.max_kPa, units.vacuum, 3)}`;
  return pairsText(
    [
      ['settings', state],
      ...syringeRows(card),
      [
        card.syringe === null ? 'pressure, first dwell' : `pressure, dwell from shot ${card.syringe.shot}`,
        `${pressureText(card.pressure_kPa, units.pressure)}, ${card.dwell_s.toFixed(card.dwell_decimals)} s`,
      ],
      ['needle', `${gauge}${numberText(needle.length_mm)} mm long, bore ${numberText(needle.bore_mm)} mm`],
      ['prime', `${card.prime_shots} shots to waste with every new needle`],
      [
        'hold-back',
        held === null
          ? null
          : held.safe.common_range !== null
            ? range(held.safe.common_range)
            : `${held.common_range === null ? `full ${range(held.full)}; nearly empty ${range(held.empty)}` : range(held.common_range)}${held.friction_kPa === 0 ? '' : '; watch the tip, for the plunger may stick'}`,
      ],
      ['ramp', `${BASIS[card.ramp.basis]}, largest error ${fixedText(card.ramp.worst_error_pct, 1)} %`],
      ['mixed, first shot', card.mixed_at === null ? null : `${card.mixed_at}, ${card.first_shot_at}`],
      [
        'stop',
        stop.shot === 0
          ? 'do not use: outside the tolerance from the first shot'
          : `after shot ${stop.shot}, ${numberText(stop.age_min)} min after mixing${clock}: ${stop.reason.replace('_', ' ')}`,
      ],
      ['first-piece dot', dot(card)],
      [
        'calibration',
        card.calibration === null
          ? null
          : `viscosity factor ${numberText(card.calibration.viscosity_factor)}${card.calibration.date === null ? '' : `, ${card.calibration.date}`}`,
      ],
      ['mix', card.mix === null ? null : kitText(card.mix)],
      ['card', card.file === null ? 'not written; name it with -o' : `${card.file}, ${card.paper}`],
    ],
    view,
  );
}

const STATES: Readonly<Record<CardResult['settings'], string>> = {
  released: 'released',
  trial: 'trial',
  'computed, not released': 'computed, not released',
  syringe: 'of this syringe only',
};

const BASIS: Readonly<Record<CardResult['ramp']['basis'], string>> = {
  released: 'released',
  kept: 'kept',
  'computed, not released': 'computed, not released',
  syringe: 'by the check of the syringe',
};

function syringeRows({ syringe: of }: CardResult): [string, string][] {
  if (of === null) return [];
  const lot = of.lot === '' ? '' : `, lot ${of.lot}`;
  const by = of.operator === '' ? '' : ` by ${of.operator}`;
  const before = of.checks_before === 0 ? '' : `, with ${counted(of.checks_before, 'check')} before`;
  return [
    ['syringe', `${of.name}${lot}: ${of.decision}`],
    ['checked', `${of.checked_at}${by}, at shot ${of.shot}`],
    ['thickness', `${numberText(of.thickness)} times the recipe's${before}`],
  ];
}

function dot({ dot: made }: CardResult): string {
  if (made === null) return 'none; weigh the first piece';
  const rings = made.rings.map(ring => `${ring.name} ${ring.diameter_mm.toFixed(2)}`).join(', ');
  return `${rings} mm across, ${counted(made.shots_per_circle, 'shot')} on a circle`;
}

function stepTable(card: CardResult, view: View): string {
  const clock = card.mixed_at !== null;
  const rows = card.ramp.steps.map(step => [
    step.from_shot === step.to_shot ? String(step.from_shot) : `${step.from_shot}-${step.to_shot}`,
    step.dwell_s.toFixed(card.dwell_decimals),
    fixedText(step.from_age_min, 1),
    ...(clock ? [step.at ?? ''] : []),
  ]);
  const heads = ['dwell s', 'from min', ...(clock ? ['from'] : [])];
  return tableText([{ head: 'shots' }, ...heads.map(name => ({ head: name, align: 'right' as const }))], rows, view);
}
