import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { type RandomSource, randomSource } from '../../numeric/random.ts';
import type { Delivery } from '../delivery/operating-point.ts';
import { slowViscosity } from '../dot/spreading-resin.ts';
import type { TrialCell } from './trials-precision.ts';

/** One weighing of a run sheet. */
export interface PlannedRun {
  /** From 1, in the order in which they are made. */
  readonly run: number;
  /** From 1; runs of one block are made about one age. */
  readonly block: number;
  readonly pressure: number; // [Pa]
  readonly dwell: number; // [s]
  /** As planned: the age at which the block begins and the time its earlier runs take [s]. */
  readonly age: number;
  /** Of one shot, by the recipe at that age [m³]. */
  readonly expected: number;
  /** With which its dot spreads [Pa.s]; null where nothing is known of it. */
  readonly viscosity: number | null;
}

export interface RunsInput {
  readonly cells: readonly TrialCell[];
  readonly ages: readonly number[]; // [s]
  readonly replicates: number;
  readonly seed: number;
  readonly pace: number; // [s]
}

/**
 * The runs in their order: each block has every setting `replicates` times, shuffled, so that what drifts with the clock (needle, room,
 * operator) does not look like pressure or dwell. The same seed gives the same order.
 * An age past the end of the resin is an error.
 */
export function planRuns(delivery: Delivery, p: RunsInput): Outcome<PlannedRun[]> {
  const random = randomSource(p.seed);
  const findings: Finding[] = [];
  const runs: PlannedRun[] = [];
  for (const [block, start] of p.ages.entries()) {
    const own = p.cells.filter(cell => cell.point.age === start);
    const order = shuffled(Array.from({ length: p.replicates }, () => own).flat(), random);
    for (const [i, { pressure, dwell }] of order.entries()) {
      const age = start + i * p.pace;
      const at = delivery.at({ age });
      findings.push(...at.findings.filter(f => f.severity === 'error'));
      if (at.result === null) return { result: null, findings };
      const expected = at.result.deliver({ pressure, dwell }).volume;
      const viscosity = slowViscosity(at.result.rheology);
      runs.push({ run: runs.length + 1, block: block + 1, pressure, dwell, age, expected, viscosity });
    }
  }
  return { result: runs, findings };
}

/** Fisher–Yates: every order equally likely. */
function shuffled<T>(items: readonly T[], random: RandomSource): T[] {
  const out = [...items];
  for (let i = out.length - 1; i > 0; i--) {
    const j = Math.floor(random.uniform() * (i + 1));
    [out[i], out[j]] = [out[j]!, out[i]!];
  }
  return out;
}
