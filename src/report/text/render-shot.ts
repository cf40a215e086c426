import type { ShotResult } from '../../analysis/shot/shot-result.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DisplayUnits, displayUnits, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText, quantityText, settingText, signedPercent } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { type Pair, pairsText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** What the shot is, what it leaves, and how the resin flows in it. */
export function renderShot(shot: ShotResult, view: View, recipe: Recipe): string {
  const units = displayUnits(recipe);
  const inner = { ...view, columns: view.columns - 2 };
  const parts: [string, Pair[]][] = [
    ['Shot', delivered(shot, units, view)],
    ['Dot', dot(shot)],
    ['Flow in the needle', flow(shot, units)],
    ['Bore shot', bore(shot)],
    ['Hold-back: vacuum against dripping', holdBack(shot, units)],
  ];
  const blocks = parts
    .filter(([, pairs]) => pairs.length > 0)
    .map(([head, pairs]) => `${view.style.strong(head)}\n${indented(pairsText(pairs, inner))}`);
  return blocksText([...blocks, madeBy(shot.models, shot.defaults, view)]);
}

function delivered(shot: ShotResult, units: DisplayUnits, view: View): Pair[] {
  return [
    ['pressure, dwell', `${pressureText(shot.pressure_kPa, units.pressure)}, ${settingText(shot.dwell_s)} s`],
    ['age, temperature', `${quantityText(shot.age_min, 'min')}, ${quantityText(shot.temperature_C, 'degC')}`],
    ['viscosity', `${quantityText(shot.viscosity_factor, 'times that at mixing')}${lot(shot)}`],
    ['after a pause', rested(shot)],
    ['dispensed before', shot.dispensed_mL === 0 ? null : quantityText(shot.dispensed_mL, 'mL')],
    [
      'volume',
      `${quantityText(shot.volume_uL, 'µL')}${shot.mass_mg === null ? '' : `, ${quantityText(shot.mass_mg, 'mg')}`}`,
    ],
    ['after the dwell', shot.ooze_uL === 0 ? null : `${quantityText(shot.ooze_uL, 'µL')} of it`],
    ['aim', aim(shot)],
    ['against the aim', againstAim(shot, view)],
    ['as the syringe empties', drift(shot)],
    [
      'air bounds',
      shot.air_bound_uL === null
        ? null
        : `${shot.air_bound_uL.map(v => numberText(v)).join(' to ')} µL, isothermal and adiabatic`,
    ],
  ];
}

function lot(shot: ShotResult): string {
  return shot.lot_factor === 1 ? '' : `, lot factor ${numberText(shot.lot_factor)}`;
}

function rested({ rebuild_factor: factor }: ShotResult): string | null {
  return factor === null ? null : `${numberText(factor)} times as thick as while it is worked, roughly`;
}

function aim(shot: ShotResult): string | null {
  if (shot.aim_uL === null) return null;
  const window = shot.window_uL === null ? '' : `, window ${shot.window_uL.map(v => numberText(v)).join(' to ')} µL`;
  return `${numberText(shot.aim_uL)} µL${window}`;
}

function drift({ drift: moved }: ShotResult): string | null {
  if (moved === null) return null;
  const ends = `${numberText(moved.full_uL)} µL full, ${numberText(moved.nearly_empty_uL)} µL nearly empty`;
  return `${ends} (${signedPercent(moved.full_to_empty_pct)})`;
}

function againstAim(shot: ShotResult, view: View): string | null {
  if (shot.error_to_aim_pct === null) return null;
  const error = signedPercent(shot.error_to_aim_pct);
  if (shot.within_window === null) return error;
  const sign = shot.within_window
    ? view.style.good('inside the reach window')
    : view.style.error('outside the reach window');
  return `${error}, ${sign}`;
}

function dot(shot: ShotResult): Pair[] {
  if (shot.dot_diameter_mm === null) return [];
  return [
    ['across, from above', quantityText(shot.dot_diameter_mm, 'mm')],
    ['when it is read', shot.dot_read_diameter_mm === null ? null : quantityText(shot.dot_read_diameter_mm, 'mm')],
    ['contact line', quantityText(shot.dot_contact_diameter_mm, 'mm')],
    ['height', quantityText(shot.dot_height_mm, 'mm')],
    ['a cap would be off', signedPercent(shot.dot_cap_error_pct)],
  ];
}

function flow(shot: ShotResult, units: DisplayUnits): Pair[] {
  return [
    ['steady flow', quantityText(shot.flow_uL_per_s, 'µL/s')],
    ['wall shear stress', quantityText(shot.wall_shear_stress_Pa, 'Pa')],
    ['wall shear rate', quantityText(shot.wall_shear_rate_per_s, '1/s')],
    ['wall viscosity', quantityText(shot.wall_viscosity_Pa_s, 'Pa.s')],
    ['Reynolds number', numberText(shot.reynolds)],
    ['end effect', quantityText(shot.end_effect_pct, '%')],
    ['kinetic share', quantityText(shot.kinetic_pct, '%')],
    ['no flow below', shot.no_flow_below_kPa === 0 ? null : pressureText(shot.no_flow_below_kPa, units.pressure, 3)],
  ];
}

function bore({ bore: filled }: ShotResult): Pair[] {
  if (filled === null) return [];
  return [
    ['time to bead', quantityText(filled.time_to_bead_s, 's')],
    ['to the wanted bead', quantityText(filled.time_to_wanted_bead_s, 's')],
    [
      'front stops',
      filled.stopped_at_mm === null ? null : `${numberText(filled.stopped_at_mm)} mm behind the end face`,
    ],
    ['bead if held on', quantityText(filled.bead_diameter_mm, 'mm across')],
    [
      'needle takes',
      filled.needle_share_pct === null ? NONE : `${fixedText(filled.needle_share_pct, 0)} % of the pressure`,
    ],
  ];
}

function holdBack({ hold_back: window }: ShotResult, units: DisplayUnits): Pair[] {
  if (window === null) return [];
  const range = (w: { min_kPa: number; max_kPa: number }) =>
    `${pressureText(w.min_kPa, units.vacuum, 3)} to ${pressureText(w.max_kPa, units.vacuum, 3)} below atmosphere`;
  const still: Pair[] = [
    ['full syringe', range(window.full)],
    ['nearly empty', range(window.empty)],
    ['one setting for both', window.common ? 'yes' : 'no'],
  ];
  if (window.friction_kPa === 0) return still;
  const { safe } = window;
  const none = `none: the plunger may keep ${pressureText(window.friction_kPa, units.vacuum, 3)} in, more than the tip holds`;
  return [
    ['full, safe', safe.full === null ? none : range(safe.full)],
    ['nearly empty, safe', safe.empty === null ? none : range(safe.empty)],
    ['full, plunger at rest', range(window.full)],
    ['nearly empty, plunger at rest', range(window.empty)],
    ['one setting for both', safe.common_range !== null ? 'yes' : window.common ? 'with the plunger at rest' : 'no'],
  ];
}

function indented(text: string): string {
  return text
    .split('\n')
    .map(line => `  ${line}`)
    .join('\n');
}
