import { scaleLinear, scaleLog } from 'd3-scale';
import { settingText } from '../words/number-text.ts';
import type { Axis } from './chart-spec.ts';

export interface AxisScale {
  /** Place [mm] of a value. */
  readonly place: (value: number) => number;
  readonly ticks: readonly { readonly value: number; readonly label: string }[];
  readonly domain: readonly [number, number];
}

/**
 * A scale over all values and the axis's own ends, rounded outwards to whole ticks, from `start` to `end` [mm].
 *
 * Throws: RangeError when a value is not finite, or not above zero on a logarithmic axis.
 */
export function axisScale(axis: Axis, values: readonly number[], start: number, end: number, ticks: number): AxisScale {
  const all = [...values];
  if (axis.min !== undefined) all.push(axis.min);
  if (axis.max !== undefined) all.push(axis.max);
  const log = axis.scale === 'log';
  const bad = all.find(v => !Number.isFinite(v) || (log && v <= 0));
  if (bad !== undefined)
    throw new RangeError(`cannot draw ${bad} on the ${log ? 'logarithmic ' : ''}axis "${axis.label}"`);
  if (axis.names !== undefined) return namedScale(axis.names, start, end);
  const { ticks: own } = axis;
  if (own !== undefined) {
    const [low, high] = ends([...all, ...own.map(t => t.value)], false);
    const scale = scaleLinear().domain([low, high]).range([start, end]);
    return { place: v => scale(v), ticks: own, domain: [low, high] };
  }
  const domain = ends(all, log);
  if (log) {
    const ticks = logTicks(domain[0], domain[1]);
    const [low, high] = [ticks[0]!, ticks.at(-1)!];
    const scale = scaleLog().domain([low, high]).range([start, end]);
    return { place: v => scale(v), ticks: ticks.map(labelled), domain: [low, high] };
  }
  const scale = scaleLinear().domain(domain).nice(ticks).range([start, end]);
  const [low, high] = scale.domain() as [number, number];
  return { place: v => scale(v), ticks: scale.ticks(ticks).map(labelled), domain: [low, high] };
}

function namedScale(names: readonly string[], start: number, end: number): AxisScale {
  const scale = scaleLinear()
    .domain([-0.5, names.length - 0.5])
    .range([start, end]);
  return {
    place: v => scale(v),
    ticks: names.map((label, value) => ({ value, label })),
    domain: [-0.5, names.length - 0.5],
  };
}

/** Ends of the data; what is one value but for rounding gets room on both sides, since no tick could tell it apart. */
function ends(values: readonly number[], log: boolean): [number, number] {
  if (values.length === 0) return log ? [1, 10] : [0, 1];
  const low = values.reduce((a, b) => Math.min(a, b));
  const high = values.reduce((a, b) => Math.max(a, b));
  const size = Math.max(Math.abs(low), Math.abs(high));
  if (size > SMALLEST && high - low > SAME * size) return [low, high];
  if (log) return [low / 2, high * 2];
  const room = size > SMALLEST ? size * 0.1 : 1;
  return [low - room, high + room];
}

const SAME = 1e-9; // relative
const SMALLEST = 1e-200; // below, steps between ticks would run out of digits

/**
 * 1, 2 and 5 times the powers of ten, or the powers alone where the axis spans more than four of them: from the last at
 * or below `low` to the first at or above `high`.
 */
function logTicks(low: number, high: number): number[] {
  const first = Math.floor(Math.log10(low));
  const last = Math.ceil(Math.log10(high));
  const steps = last - first > 4 ? [1] : [1, 2, 5];
  const all: number[] = [];
  for (let power = first; power <= last; power++) for (const step of steps) all.push(Number(`${step}e${power}`));
  const from = all.findLastIndex(v => v <= low);
  const to = all.findIndex(v => v >= high);
  return all.slice(Math.max(0, from), to + 1);
}

function labelled(value: number): { value: number; label: string } {
  return { value, label: settingText(value, 12).replace('-', '−') };
}
