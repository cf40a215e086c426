import type { DwellGrid } from '../../analysis/ramp/dwell-grid.ts';
import { NONE, plain, settingText } from '../words/number-text.ts';
import { tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

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
