import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { DomainError } from '../../numeric/domain-error.ts';
import { type Capability, capability } from '../../stats/capability.ts';
import { CHART_DEFAULTS, type ChartKind, type ControlChart, controlChart } from '../../stats/control-chart.ts';
import { mean } from '../../stats/descriptive.ts';
import { falseSignalChance } from '../../stats/false-signals.ts';
import { RUN_RULES, runRules } from '../../stats/run-rules.ts';
import { chosenRules, optionFindings, sizeFindings } from './trend-findings.ts';

/** Readings in their own unit, in order. */
export interface TrendInput {
  readonly unit: string | null;
  readonly subgroups: readonly { readonly label: string; readonly values: readonly number[] }[];
}

export interface TrendOptions {
  /** Default: individuals without subgroups, means and ranges up to ten readings, means and standard deviations above. */
  readonly chart?: ChartKind;
  readonly lambda?: number;
  /** Standard deviation of one reading, given beforehand. */
  readonly sigma?: number;
  /** Centre line, given beforehand. */
  readonly target?: number;
  /** Specification limits. */
  readonly lower?: number;
  readonly upper?: number;
  /** Rule numbers; default 1 to 4, for an EWMA 1. */
  readonly rules?: readonly number[];
  /** Points on one side for rule 2: 9 (Nelson), or 8 as the handbook of 1956 counts. */
  readonly oneSide?: number;
  /** Full size of a subgroup, where it is fixed. */
  readonly subgroupSize?: number;
}

export interface TrendPoint {
  /** From 1. */
  readonly index: number;
  readonly label: string;
  readonly value: number;
  readonly lower: number;
  readonly upper: number;
  readonly rules: readonly number[];
}

export interface TrendCapability {
  readonly cp: number | null;
  readonly cpk: number;
  readonly pp: number | null;
  /** Null, as pp, where all readings are the same. */
  readonly ppk: number | null;
  /** 95 % intervals. */
  readonly intervals: {
    readonly cp: readonly [number, number] | null;
    readonly cpk: readonly [number, number];
    readonly pp: readonly [number, number] | null;
    readonly ppk: readonly [number, number] | null;
  };
}

export { RUN_RULES };

export interface TrendResult {
  readonly chart: ChartKind;
  readonly unit: string | null;
  readonly center: number;
  readonly sigma: number;
  readonly limits: { readonly lower: number; readonly upper: number };
  readonly range: {
    readonly center: number;
    readonly lower: number;
    readonly upper: number;
    readonly points: readonly {
      readonly index: number;
      readonly value: number | null;
      readonly lower: number;
      readonly upper: number;
      readonly beyond: boolean;
    }[];
  };
  readonly points: readonly TrendPoint[];
  readonly capability: TrendCapability | null;
  /** No selected rule fires. */
  readonly stable: boolean;
  /** How many steady processes of as many points show a signal all the same. */
  readonly false_signal_pct: number;
  readonly mean: number;
  readonly overall_sd: number;
  readonly readings: number;
  readonly lambda: number | null;
  readonly rules: readonly number[];
  readonly specification: { readonly lower: number | null; readonly upper: number | null };
}

/** Readings above which a subgroup's standard deviation tells more than its range. */
const RANGE_UP_TO = 10;

/**
 * Trend of readings, in their own unit: control chart, run rules, capability.
 * Capability is stated only where specification limits are given and no point is beyond three sigma (rule 1): the other
 * rules fire too often by chance, as `false_signal_pct` says.
 */
export function trend(input: TrendInput, options: TrendOptions = {}): Outcome<TrendResult> {
  const groups = input.subgroups.map(g => g.values);
  const largest = groups.reduce((most, g) => Math.max(most, g.length), 0);
  const kind = options.chart ?? (largest <= 1 ? 'imr' : largest <= RANGE_UP_TO ? 'xbar-r' : 'xbar-s');
  const findings = optionFindings(options, kind, largest);
  findings.push(...sizeFindings(groups, kind, options));
  if (findings.some(f => f.severity === 'error')) return { result: null, findings };
  const chart = chartOf(groups, kind, options);
  if (chart === null) {
    const message = 'the readings are all the same within subgroups: there is no scatter to set limits from';
    return { result: null, findings: [...findings, floorFinding('trend-no-scatter', null, message)] };
  }
  const rules = chosenRules(options, kind, findings);
  const fired = runRules(chart.points, { rules, ...(options.oneSide !== undefined && { oneSide: options.oneSide }) });
  const readings = groups.flat();
  const result: Omit<TrendResult, 'capability' | 'stable'> = {
    chart: kind,
    unit: input.unit,
    center: chart.center,
    sigma: chart.sigma,
    limits: chart.limits,
    range: {
      ...chart.range,
      points: chart.spread.map((s, i) => ({
        index: i + 1,
        ...s,
        beyond: s.value !== null && (s.value > s.upper || s.value < s.lower),
      })),
    },
    points: chart.points.map((p, i) => ({
      index: i + 1,
      label: input.subgroups[i]!.label,
      value: p.value,
      lower: p.lower,
      upper: p.upper,
      rules: fired[i]!,
    })),
    mean: mean(readings),
    overall_sd: chart.overall,
    readings: readings.length,
    lambda: kind === 'ewma' ? (options.lambda ?? CHART_DEFAULTS.lambda) : null,
    rules,
    false_signal_pct: 100 * falseSignalsOf(groups, kind, rules, options),
    specification: { lower: options.lower ?? null, upper: options.upper ?? null },
  };
  const stable = signals(result, findings);
  const stated = options.lower !== undefined || options.upper !== undefined;
  const beyond = isBeyond(result);
  if (stated && beyond) {
    const message = 'capability is not stated: points are beyond three sigma';
    findings.push(floorFinding('capability-withheld', null, message));
  }
  return {
    result: { ...result, stable, capability: stated && !beyond ? capabilityOf(chart, readings, options) : null },
    findings,
  };
}

function falseSignalsOf(
  groups: readonly (readonly number[])[],
  kind: ChartKind,
  rules: readonly number[],
  { oneSide, lambda, target, sigma }: TrendOptions,
): number {
  return falseSignalChance({
    ...{ kind, rules, sizes: groups.map(g => g.length), target: target !== undefined, sigma: sigma !== undefined },
    ...(oneSide !== undefined && { oneSide }),
    ...(kind === 'ewma' && { lambda: lambda ?? CHART_DEFAULTS.lambda }),
  });
}

/** Whether rule 1, where it was selected, fires at a point or for the scatter of subgroups. */
function isBeyond({ chart, points, range, rules }: Omit<TrendResult, 'capability' | 'stable'>): boolean {
  const scatter = rules.includes(1) && (chart === 'xbar-r' || chart === 'xbar-s');
  return points.some(p => p.rules.includes(1)) || (scatter && range.points.some(p => p.beyond));
}

/** Null where the readings have no scatter. */
function chartOf(groups: readonly (readonly number[])[], kind: ChartKind, options: TrendOptions): ControlChart | null {
  const { target, sigma, lambda } = options;
  try {
    return controlChart({
      kind,
      subgroups: groups,
      ...(target !== undefined && { target }),
      ...(sigma !== undefined && { sigma }),
      ...(lambda !== undefined && { lambda }),
    });
  } catch (error) {
    if (error instanceof DomainError && error.requirement.startsWith('with scatter')) return null;
    throw error;
  }
}

/** Adds a finding for every rule that fires; whether none does. On charts of subgroups a scatter beyond its limits counts as rule 1. */
function signals(result: Omit<TrendResult, 'capability' | 'stable'>, findings: Finding[]): boolean {
  let stable = true;
  for (const rule of result.rules) {
    const at = result.points.filter(p => p.rules.includes(rule));
    if (at.length === 0) continue;
    stable = false;
    findings.push(
      floorFinding('trend-signal', null, `rule ${rule} (${RUN_RULES.get(rule)}) fires at ${pointList(at)}`),
    );
  }
  const wide = result.range.points.filter(p => p.beyond);
  if (wide.length > 0 && result.rules.includes(1)) {
    findings.push(floorFinding('trend-range-signal', null, `the scatter is beyond its limits at ${pointList(wide)}`));
    // Moving ranges share readings and are not normal; on individuals they warn, and the points themselves decide.
    if (result.chart === 'xbar-r' || result.chart === 'xbar-s') stable = false;
  }
  return stable;
}

function pointList(points: readonly { readonly index: number }[]): string {
  const shown = points.slice(0, 8).map(p => p.index);
  const more = points.length > 8 ? ` and ${points.length - 8} more` : '';
  return `${points.length === 1 ? 'point' : 'points'} ${shown.join(', ')}${more}`;
}

function capabilityOf(chart: ControlChart, readings: readonly number[], options: TrendOptions): TrendCapability {
  const base = {
    lower: options.lower ?? null,
    upper: options.upper ?? null,
    mean: mean(readings),
    count: readings.length,
  };
  const within = capability({ ...base, sd: chart.sigma, degreesOfFreedom: chart.sigmaDegrees });
  // Equal readings leave no overall deviation; the chart then rests on a sigma that was given.
  const overall =
    chart.overall > 0 ? capability({ ...base, sd: chart.overall, degreesOfFreedom: readings.length - 1 }) : null;
  const pair = (i: { low: number; high: number }): readonly [number, number] => [i.low, i.high];
  const potential = (c: Capability): readonly [number, number] | null =>
    c.potentialInterval && pair(c.potentialInterval);
  return {
    cp: within.potential,
    cpk: within.actual,
    pp: overall?.potential ?? null,
    ppk: overall?.actual ?? null,
    intervals: {
      cp: potential(within),
      cpk: pair(within.actualInterval),
      pp: overall && potential(overall),
      ppk: overall && pair(overall.actualInterval),
    },
  };
}
