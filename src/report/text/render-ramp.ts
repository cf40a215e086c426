import type { DwellGrid } from '../../analysis/ramp/dwell-grid.ts';
import type { RampResult, RampShotKeys, StageKeys } from '../../analysis/ramp/ramp.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DisplayUnit, displayUnits, pressureNumber, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText, plain, settingText } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** What ends the run, in words. */
const END: Readonly<Record<RampResult['end']['reason'], string>> = {
  viscosity_factor: 'the viscosity factor of process.stop_at',
  age: 'the age of process.stop_at',
  gel: 'nine tenths of the gel age',
  syringe: 'the syringe: no full connector is left in it',
  dwell: 'the dwell limits of the station',
  pressure: 'the pressure limits of the station',
};

/** The program to set, how good it is, and shots along the way. */
export function renderRamp(ramp: RampResult, view: View, recipe: Recipe): string {
  const { pressure } = displayUnits(recipe);
  return blocksText([
    stageTable(ramp, pressure, view),
    summary(ramp, pressure, view),
    shotTable(ramp, pressure, view),
    madeBy(ramp.models, ramp.defaults, view),
  ]);
}

function stageTable(ramp: RampResult, unit: DisplayUnit, view: View): string {
  const name = ramp.by === 'dwell' ? 's' : unit.name;
  const heads = ['from shot', `first ${name}`, `add ${name}`, 'every'];
  return tableText(
    heads.map(head => ({ head, align: 'right' as const })),
    ramp.program.stages.map(stage => stageCells(stage, unit)),
    view,
  );
}

function stageCells(stage: StageKeys, unit: DisplayUnit): string[] {
  const [first, add] =
    'add_s' in stage
      ? [settingText(stage.first_dwell_s), settingText(stage.add_s)]
      : [pressureNumber(stage.first_pressure_kPa, unit), pressureNumber(stage.add_kPa, unit)];
  return [String(stage.from_shot), first, add, String(stage.every)];
}

function roomText({ mixed_at_min: at, room_C: room }: RampResult): string | null {
  if (at === null || room === null) return null;
  const two = (n: number) => String(n).padStart(2, '0');
  const clock = `${two(Math.floor(at / 60))}:${two(Math.round(at % 60))}`;
  return `${clock}; ${fixedText(room[0], 1)} degC at the first shot, ${fixedText(room[1], 1)} degC at the last`;
}

function summary(ramp: RampResult, unit: DisplayUnit, view: View): string {
  const total = ramp.shots.length;
  const within = (good: number | null) => (good === null ? '' : `; ${good} of ${total} shots within tolerance`);
  const kept =
    ramp.pressure_kPa === null ? `dwell ${settingText(ramp.dwell_s)} s` : pressureText(ramp.pressure_kPa, unit);
  return pairsText(
    [
      ['stays', kept],
      ['aim', `${numberText(ramp.aim_uL)} µL, behind a bore shot of ${numberText(ramp.bore_shot_uL)} µL`],
      ['mixed at', roomText(ramp)],
      ['to waste first', `${ramp.prime_shots} shots`],
      ['shots by dwell a connector', ramp.presses_per_connector === 1 ? null : String(ramp.presses_per_connector)],
      ['worst error', `${fixedText(ramp.worst_error_pct, 1)} %${within(ramp.good_shots)}`],
      ['without a ramp', `${fixedText(ramp.worst_error_without_ramp_pct, 1)} %${within(ramp.good_shots_without_ramp)}`],
      ['with one stage', oneStage(ramp, unit)],
      [
        'may run late by',
        ramp.may_run_late === null
          ? null
          : `${numberText(ramp.may_run_late.time_min)} min, then shot ${ramp.may_run_late.shot} leaves the tolerance`,
      ],
      ['ends after', `shot ${ramp.end.shot}, ${numberText(ramp.end.age_min)} min: ${END[ramp.end.reason]}`],
    ],
    view,
  );
}

function oneStage({ one_stage: one, shots }: RampResult, unit: DisplayUnit): string | null {
  if (one === null) return null;
  const [, first, add, every] = stageCells(one.stage, unit);
  const good = one.good_shots === null ? '' : `; ${one.good_shots} of ${shots.length} shots`;
  return `first ${first}, add ${add} every ${every}: ${fixedText(one.worst_error_pct, 1)} %${good}`;
}

const SHOWN = 12;

/** A few shots along the way; all of them are in the JSON and the CSV. */
function shotTable(ramp: RampResult, unit: DisplayUnit, view: View): string {
  const byDwell = ramp.by === 'dwell';
  const name = byDwell ? 's' : unit.name;
  const step = Math.max(1, Math.ceil((ramp.shots.length - 1) / (SHOWN - 1)));
  const shown = ramp.shots.filter((_, i) => i % step === 0 || i === ramp.shots.length - 1);
  const setting = (shot: RampShotKeys) =>
    byDwell
      ? [fixedText(shot.dwell_s, 3), settingText(shot.program_dwell_s)]
      : [pressureNumber(shot.pressure_kPa, unit), pressureNumber(shot.program_pressure_kPa, unit)];
  const rows = shown.map(shot => [
    String(shot.shot),
    fixedText(shot.age_min, 1),
    fixedText(shot.viscosity_factor, 2),
    fixedText(shot.dispensed_mL, 3),
    ...setting(shot),
    fixedText(shot.error_pct, 1),
  ]);
  const heads = ['shot', 'age min', 'viscosity', 'dispensed mL', `exact ${name}`, `program ${name}`, 'error %'];
  const table = tableText(
    heads.map(head => ({ head, align: 'right' as const })),
    rows,
    view,
  );
  const rest = ramp.shots.length - shown.length;
  return rest === 0 ? table : `${table}\n(${rest} shots between them not shown; -o shots.csv has all)`;
}

/** A result with the dwell by temperature and age below it, temperatures across; as it is without one. */
export function withGrid(result: string, grid: DwellGrid | null | undefined, view: View): string {
  if (grid === undefined) return result;
  return `${result}\n\n${grid === null ? 'No dwell by temperature and age: no run can be planned.' : gridText(grid, view)}`;
}

function gridText(grid: DwellGrid, view: View): string {
  const { temperatures_C, ages_min, dwell_s, stop_min } = grid;
  const heads = ['age min', ...temperatures_C.map(celsius => `${plain(celsius)} °C`)];
  const rows = ages_min.map((age, a) => [
    plain(age),
    ...dwell_s.map(row => (row[a] === null || row[a] === undefined ? NONE : settingText(row[a]))),
  ]);
  const stops = ['stop min', ...stop_min.map(stop => (stop === null ? NONE : plain(stop, 3)))];
  const columns = heads.map(head => ({ head, align: 'right' as const }));
  return `Dwell s by temperature and age\n${tableText(columns, [...rows, stops], view)}`;
}
