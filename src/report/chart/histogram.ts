import type { Mark } from '../pdf/marks.ts';
import { approximateMeasure, type TextMeasure } from '../pdf/text-measure.ts';
import type { HistogramSpec } from './chart-spec.ts';
import { DEFAULT_SIZE, type Drawing, type DrawingSize } from './drawing.ts';
import { frame } from './frame.ts';
import { WEIGHT } from './strokes.ts';

/**
 * Counts over classes as outlined boxes from zero, with bands and rules such as the window, as plain data [mm].
 * Throws: RangeError when a value cannot stand on its axis.
 */
export function histogram(
  spec: HistogramSpec,
  size: DrawingSize = DEFAULT_SIZE,
  measure: TextMeasure = approximateMeasure,
): Drawing {
  const { plot, under, over } = frame({
    spec: { ...spec, y: { ...spec.y, min: 0 } },
    size,
    measure,
    xValues: spec.bins.flatMap(b => [b.from, b.to]),
    yValues: spec.bins.map(b => b.count),
    key: [],
  });
  const boxes = spec.bins
    .filter(b => b.count > 0)
    .map((b): Mark => {
      const x = plot.x.place(b.from);
      const y = plot.y.place(b.count);
      return {
        kind: 'box',
        x,
        y,
        boxWidth: plot.x.place(b.to) - x,
        boxHeight: plot.y.place(0) - y,
        width: WEIGHT.axis,
        fill: 'white',
      };
    });
  const total = spec.bins.reduce((sum, b) => sum + b.count, 0);
  const alt = `${spec.title}. ${spec.y.label} over ${spec.x.label}: ${total} in ${spec.bins.length} classes.`;
  return { title: spec.title, alt, ...size, marks: [...under, ...boxes, ...over] };
}

/** Sorts values into `count` classes of one width from the least to the greatest; the last class is closed above. */
export function bins(values: readonly number[], count: number): HistogramSpec['bins'] {
  if (values.length === 0 || count < 1) return [];
  const low = values.reduce((a, b) => Math.min(a, b));
  const high = values.reduce((a, b) => Math.max(a, b));
  if (low === high) return [{ from: low - 0.5, to: high + 0.5, count: values.length }];
  const width = (high - low) / count;
  const counts = new Array<number>(count).fill(0);
  for (const v of values) counts[Math.min(count - 1, Math.floor((v - low) / width))]! += 1;
  return counts.map((n, i) => ({
    from: low + i * width,
    to: i === count - 1 ? high : low + (i + 1) * width,
    count: n,
  }));
}
