import type { NeedleComparison, SetpointKeys, SetpointResult } from '../../analysis/setpoint/setpoint.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DisplayUnits, displayUnits, pressureNumber, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText, quantityText, settingText, signedPercent } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** The chosen setting, the other candidates, and needles side by side. */
export function renderSetpoint(found: SetpointResult, view: View, recipe: Recipe): string {
  const units = displayUnits(recipe);
  return blocksText([
    chosenText(found, units, view),
    candidateTable(found, units, view),
    found.needles.length === 0 ? '' : needleTable(found.needles, units, view),
    matchedText(found, view),
    madeBy(found.models, found.defaults, view),
  ]);
}

function chosenText(found: SetpointResult, units: DisplayUnits, view: View): string {
  const { chosen } = found;
  const setting = `${pressureText(chosen.pressure_kPa, units.pressure)}, ${settingText(chosen.dwell_s)} s`;
  const window = found.window_uL === null ? '' : `, window ${found.window_uL.map(v => numberText(v)).join(' to ')} µL`;
  const spread = found.spread
    .filter(({ relative }) => relative > 0)
    .map(({ cause, relative }) => `${cause} ${numberText(relative * 100, 2)} %`);
  return pairsText(
    [
      ['setpoint', view.style.strong(setting)],
      ['delivers', `${numberText(chosen.volume_uL)} µL, ${signedPercent(chosen.error_pct)} against the aim`],
      ['aim', `${numberText(found.aim_uL)} µL${window}`],
      ['program', programText(found)],
      ['chosen by', chosen.why.length === 0 ? null : chosen.why.join('; ')],
      ['time to the bead', chosen.time_to_bead_s === null ? null : `${numberText(chosen.time_to_bead_s)} s`],
      ['predicted spread', `${percentOf(chosen.spread_rel)}${spread.length === 0 ? '' : `: ${spread.join(', ')}`}`],
      ['from shot to shot', percentOf(chosen.after_trim_rel)],
      [
        'at',
        `${quantityText(found.age_min, 'min')}, ${quantityText(found.temperature_C, 'degC')}, viscosity factor ${numberText(found.viscosity_factor)}, lot factor ${numberText(found.lot_factor)}`,
      ],
    ],
    view,
  );
}

/** The steps that follow the first dwell. */
function programText({ program }: SetpointResult): string | null {
  if (program === null) return null;
  const steps = program.stages.map(({ from_shot, first_dwell_s, add_s, every }, i) => {
    const start =
      i === 0 ? `${settingText(first_dwell_s)} s` : `from shot ${from_shot} ${settingText(first_dwell_s)} s`;
    return add_s === 0 ? start : `${start}, ${settingText(add_s)} s more every ${every}`;
  });
  const end = `${settingText(program.last_dwell_s)} s at shot ${program.last_shot}`;
  return `${steps.join('; ')}: ${end}; worst error ${numberText(program.worst_error_pct, 2)} %`;
}

function candidateTable({ candidates }: SetpointResult, units: DisplayUnits, view: View): string {
  const rows = candidates.map(candidate => [
    candidate.chosen ? '*' : '',
    ...settingCells(candidate, units),
    candidate.limited_by,
  ]);
  return tableText([{ head: '' }, ...settingHeads(units), { head: 'limited by' }], rows, view);
}

function needleTable(needles: readonly NeedleComparison[], units: DisplayUnits, view: View): string {
  const rows = needles.map(needle => [
    needle.needle,
    numberText(needle.bore_mm),
    ...(needle.chosen === null ? [NONE, NONE, NONE, NONE, NONE, NONE] : settingCells(needle.chosen, units)),
    needle.limited_by,
  ]);
  const heads = [{ head: 'needle' }, { head: 'bore mm', align: 'right' as const }, ...settingHeads(units)];
  return tableText([...heads, { head: 'limited by' }], rows, view);
}

function settingHeads(units: DisplayUnits) {
  const heads = [units.pressure.name, 'dwell s', 'µL', 'error %', 'spread %', 'per shot %'];
  return heads.map(head => ({ head, align: 'right' as const }));
}

function settingCells(keys: SetpointKeys, units: DisplayUnits): string[] {
  return [
    pressureNumber(keys.pressure_kPa, units.pressure),
    settingText(keys.dwell_s),
    numberText(keys.volume_uL),
    fixedText(keys.error_pct, 2),
    fixedText(keys.spread_rel * 100, 2),
    fixedText(keys.after_trim_rel * 100, 2),
  ];
}

function matchedText({ matched }: SetpointResult, view: View): string {
  if (matched === null) return '';
  const intro = pairsText(
    [
      ['one dwell for both shots', `d^4/L = ${numberText(matched.d4_per_length_mm3)} mm^3`],
      [
        'this needle',
        `${numberText(matched.own_d4_per_length_mm3)} mm^3; the backfill would be ${signedPercent(matched.own_shared_dwell_error_pct)} off`,
      ],
    ],
    view,
  );
  const rows = matched.needles.map(needle => [
    `${needle.gauge} ${needle.wall}`,
    numberText(needle.bore_mm),
    numberText(needle.length_mm),
    numberText(needle.d4_per_length_mm3),
    numberText(needle.matching_length_mm),
    fixedText(needle.shared_dwell_error_pct, 0),
  ]);
  if (rows.length === 0) return intro;
  const heads = ['bore mm', 'length mm', 'd^4/L mm^3', 'would match at mm', 'off by %'];
  const columns = [{ head: 'needle that fits' }, ...heads.map(head => ({ head, align: 'right' as const }))];
  return `${intro}\n\n${tableText(columns, rows, view)}`;
}

function percentOf(relative: number): string {
  return `${numberText(relative * 100, 2)} %`;
}
