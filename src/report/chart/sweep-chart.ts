import type { SweepResult } from '../../analysis/changes/sweep-result.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import type { LineChartSpec, Series } from './chart-spec.ts';
import { DEFAULT_SIZE, type Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';

/** More lines than this cannot be told apart without colour. */
export const MOST_LINES = 8;

/** Lines that a chart of the sweep would have: one for each combination of the axes after the first. */
export function linesOf({ grid }: Pick<SweepResult, 'grid'>): number {
  return grid.slice(1).reduce((product, { values }) => product * values.length, 1);
}

/**
 * A chart for each result key: the first axis of the grid across, a line for each combination of the others. A point that
 * could not be computed is a gap.
 */
export function sweepCharts(sweep: SweepResult, title: string, measure?: TextMeasure): Drawing[] {
  return sweep.take.map((_, k) => {
    const spec = chartOf(sweep, k, title);
    return measure === undefined ? lineChart(spec) : lineChart(spec, DEFAULT_SIZE, measure);
  });
}

function chartOf(sweep: SweepResult, k: number, title: string): LineChartSpec {
  const { grid, take } = sweep;
  const [first, ...others] = grid as [SweepResult['grid'][number], ...SweepResult['grid']];
  const named = first.values.some(value => typeof value === 'string');
  return {
    title,
    x: {
      label: first.unit === null ? first.path : `${first.path} ${first.unit}`,
      ...(first.spacing === 'log' && { scale: 'log' as const }),
      ...(named && { names: first.values.map(String) }),
    },
    y: { label: take[k]! },
    series: seriesOf(sweep, k, { others, named }),
  };
}

function seriesOf(sweep: SweepResult, k: number, p: { others: SweepResult['grid']; named: boolean }): Series[] {
  const lines = new Map<string, [number, number | null][]>();
  sweep.points.forEach(({ values, results }) => {
    const name = p.others.map(
      ({ path, unit }, i) => `${lastKey(path)} ${values[i + 1]}${unit === null ? '' : ` ${unit}`}`,
    );
    const key = name.length === 0 ? sweep.take[k]! : name.join(', ');
    const y = results[k];
    const x = p.named ? sweep.grid[0]!.values.indexOf(values[0]!) : (values[0] as number);
    lines.set(key, [...(lines.get(key) ?? []), [x, typeof y === 'number' ? y : null]]);
  });
  return [...lines].map(([name, points]) => ({ name, points }));
}

function lastKey(path: string): string {
  return path.split('.').at(-1) ?? path;
}
