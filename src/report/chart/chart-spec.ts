/** What a chart shows, in the unit of its axes; how it looks is decided here once for all charts. */

export interface Axis {
  /** With its unit: "volume µL". */
  readonly label: string;
  readonly scale?: 'linear' | 'log';
  /** The axis reaches at least from `min` to `max`; data beyond stretch it, so that nothing is cut off. */
  readonly min?: number;
  readonly max?: number;
  /** Names at whole numbers in place of figures: the n-th name stands at n, from 0. */
  readonly names?: readonly string[];
  /** Ticks in place of the usual ones, in order; the axis then ends where data and ticks do. */
  readonly ticks?: readonly AxisTick[];
}

export interface AxisTick {
  readonly value: number;
  readonly label: string;
}

export type DashName = 'solid' | 'dashed' | 'dotted' | 'dash-dot' | 'none';
export type MarkerName = 'dot' | 'ring' | 'square' | 'triangle' | 'diamond' | 'cross' | 'plus' | 'none';

export interface Series {
  readonly name: string;
  /** [x, y]; a null y is a gap in the line. */
  readonly points: readonly (readonly [number, number | null])[];
  /** Default: the next of a list in which every series looks different without colour. */
  readonly dash?: DashName;
  readonly marker?: MarkerName;
  /** Straight between points (default), or level until the next. */
  readonly line?: 'straight' | 'steps';
  /** Points to circle, each with a few letters beside it: the numbers of the run rules that fired. */
  readonly notes?: readonly { readonly index: number; readonly text: string }[];
  /** Half-length of an upright error bar at each point, or from and to. */
  readonly errors?: readonly (readonly [number, number] | null)[];
}

/** A hatched stretch of the plot: a window, a tolerance. */
export interface Band {
  readonly axis: 'x' | 'y';
  readonly from: number;
  readonly to: number;
  readonly name?: string;
}

/** A straight line across the plot: a limit, a target, the place of a change. */
export interface Rule {
  readonly axis: 'x' | 'y';
  readonly at: number;
  readonly name?: string;
  readonly dash?: DashName;
}

export interface ChartSpec {
  readonly title: string;
  readonly x: Axis;
  readonly y: Axis;
  readonly bands?: readonly Band[];
  readonly rules?: readonly Rule[];
  /** Sentences beneath the chart: what letters on it mean, what it comes to. */
  readonly words?: readonly string[];
}

export interface LineChartSpec extends ChartSpec {
  readonly series: readonly Series[];
}
