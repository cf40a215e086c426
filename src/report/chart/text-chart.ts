import { scaleLinear } from 'd3-scale';
import { settingText } from '../words/number-text.ts';

export interface TextChartSpec {
  readonly title: string;
  readonly xLabel: string;
  readonly yLabel: string;
  /** At most four series, drawn as * o + x. */
  readonly series: readonly { readonly name: string; readonly points: readonly (readonly [number, number | null])[] }[];
  /** Level lines. */
  readonly rules?: readonly { readonly at: number; readonly name: string }[];
  /** Of the whole picture, in characters; default 72 by 16. */
  readonly width?: number;
  readonly height?: number;
}

const SIGNS = ['*', 'o', '+', 'x'];

/** A small chart in plain characters for a terminal, or '' where there is nothing to draw. Ends without a line break. */
export function textChart(spec: TextChartSpec): string {
  const rules = spec.rules ?? [];
  const points = spec.series.flatMap(s => s.points).filter((p): p is readonly [number, number] => p[1] !== null);
  if (points.length === 0) return '';
  const rows = Math.max(4, (spec.height ?? 16) - 4);
  const ys = [...points.map(p => p[1]), ...rules.map(r => r.at)];
  const y = scaleLinear()
    .domain(ends(ys))
    .nice(4)
    .range([rows - 1, 0]);
  const ticks = new Map(y.ticks(Math.min(5, rows)).map(v => [Math.round(y(v)), settingText(v, 10)]));
  const margin = Math.max(...[...ticks.values()].map(t => t.length));
  const nameWidth = Math.max(0, ...rules.map(r => r.name.length + 1));
  const columns = Math.max(10, (spec.width ?? 72) - margin - 2 - nameWidth);
  const x = scaleLinear()
    .domain(ends(points.map(p => p[0])))
    .range([0, columns - 1]);
  const grid = Array.from({ length: rows }, () => new Array<string>(columns).fill(' '));
  const ruleNames = new Array<string>(rows).fill('');
  for (const rule of rules) {
    const row = Math.round(y(rule.at));
    grid[row]!.fill('-');
    ruleNames[row] = ruleNames[row] === '' ? ` ${rule.name}` : `${ruleNames[row]}, ${rule.name}`;
  }
  spec.series.forEach((s, i) => {
    for (const [px, py] of s.points) {
      if (py !== null) grid[Math.round(y(py))]![Math.round(x(px))] = SIGNS[i % SIGNS.length]!;
    }
  });
  const body = grid.map((cells, row) => {
    const label = ticks.get(row);
    return `${(label ?? '').padStart(margin)} ${label === undefined ? '|' : '+'}${cells.join('')}${ruleNames[row]}`.trimEnd();
  });
  const [low, high] = x.domain().map(v => settingText(v, 4)) as [string, string];
  const foot = `${' '.repeat(margin + 2)}${low}${` ${spec.xLabel} ${high}`.padStart(columns - low.length)}`;
  const key = spec.series.map((s, i) => `${SIGNS[i % SIGNS.length]} ${s.name}`).join('   ');
  return [spec.title, `${spec.yLabel}${spec.series.length > 1 ? `   ${key}` : ''}`, ...body, foot].join('\n');
}

function ends(values: readonly number[]): [number, number] {
  const low = values.reduce((a, b) => Math.min(a, b));
  const high = values.reduce((a, b) => Math.max(a, b));
  return low < high ? [low, high] : [low - (Math.abs(low) * 0.1 || 1), high + (Math.abs(high) * 0.1 || 1)];
}
