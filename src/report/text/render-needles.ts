import type { NeedleListResult } from '../../analysis/needles/needle-list.ts';
import { fixedText, NONE } from '../words/number-text.ts';
import { paragraph } from '../words/paragraph.ts';
import { tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** One row a needle; the sources below, each once. */
export function renderNeedles({ needles }: NeedleListResult, view: View): string {
  const sources = [...new Set(needles.map(({ source }) => source))];
  const rows = needles.map(needle => [
    needle.gauge,
    needle.wall,
    ...withLimits(needle.outside_mm, needle.outside_min_mm, needle.outside_max_mm),
    ...withLimits(needle.bore_mm, needle.bore_min_mm, needle.bore_max_mm),
    needle.status,
    `[${sources.indexOf(needle.source) + 1}]`,
  ]);
  const right = (head: string) => ({ head, align: 'right' as const });
  const columns = [
    { head: 'needle gauge' },
    { head: 'wall' },
    right('outside mm'),
    { head: 'limits' },
    right('bore mm'),
    { head: 'limits' },
    { head: 'figures' },
    { head: '' },
  ];
  const notes = sources.map((source, i) => paragraph(`[${i + 1}] ${source}`, view.columns));
  return `${tableText(columns, rows, view)}\n\n${notes.join('\n')}`;
}

function withLimits(nominal: number | null, min: number | null, max: number | null): [string, string] {
  return nominal === null ? [NONE, ''] : [fixedText(nominal, 4), `${fixedText(min, 3)}–${fixedText(max, 3)}`];
}
