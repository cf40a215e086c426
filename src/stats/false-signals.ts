import { randomSource } from '../numeric/random.ts';
import { type ChartKind, controlChart } from './control-chart.ts';
import { runRules } from './run-rules.ts';

export interface FalseSignalInput {
  readonly kind: ChartKind;
  /** Readings of each subgroup, in order. */
  readonly sizes: readonly number[];
  readonly rules: readonly number[];
  readonly oneSide?: number;
  readonly lambda?: number;
  /** Whether centre line and deviation were given beforehand, or come from the readings themselves. */
  readonly target: boolean;
  readonly sigma: boolean;
}

/** Points that are simulated in all: the answer is known to about a hundredth for charts of usual length. */
const POINTS = 100_000;
const RUNS = { least: 50, most: 2_000 };
/** Of a longer chart the start is simulated: a signal is all but certain there. */
const LONGEST = 2_000;
const SEED = 1;

/**
 * Chance [-] that a chart of so many points shows at least one signal though the process is steady and normal.
 *
 * Counted in simulated charts that are made in the same way, with a fixed seed; a scatter beyond its limits counts with rule 1 on
 * charts of subgroups, as it does in a trend.
 * Throws: DomainError as `controlChart` and `runRules`.
 * Evidence: rule 1 with given limits, 1 − (1 − 0.0027)ⁿ.
 */
export function falseSignalChance(input: FalseSignalInput): number {
  const { kind, rules } = input;
  const sizes = input.sizes.slice(0, LONGEST);
  if (rules.length === 0) return 0;
  const random = randomSource(SEED);
  const runs = Math.min(RUNS.most, Math.max(RUNS.least, Math.round(POINTS / sizes.length)));
  let signals = 0;
  for (let run = 0; run < runs; run++) {
    const subgroups = sizes.map(size => Array.from({ length: size }, () => random.normal()));
    const chart = controlChart({
      ...{ kind, subgroups },
      ...(input.target && { target: 0 }),
      ...(input.sigma && { sigma: 1 }),
      ...(input.lambda !== undefined && { lambda: input.lambda }),
    });
    const fired = runRules(chart.points, { rules, ...(input.oneSide !== undefined && { oneSide: input.oneSide }) });
    const wide = (kind === 'xbar-r' || kind === 'xbar-s') && rules.includes(1);
    const beyond = chart.spread.some(({ value, lower, upper }) => value !== null && (value > upper || value < lower));
    if (fired.some(list => list.length > 0) || (wide && beyond)) signals++;
  }
  return signals / runs;
}
