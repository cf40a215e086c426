import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inPercent, shortened } from '../../diagnostics/number-words.ts';
import type { SpreadAgreement } from './spread-agreement.ts';
import type { MonteCarloKeys, SpreadInputKeys } from './spread-keys.ts';
import type { SpreadProblem } from './spread-problem.ts';

/** Of the shot, and beside it of shot less aim; null without a window. */
export type BothAgreements = SpreadAgreement & { readonly margin: SpreadAgreement | null };

export interface SpreadVerdict {
  readonly agreement: BothAgreements;
  readonly inputs: readonly SpreadInputKeys[];
  readonly monteCarlo: MonteCarloKeys;
  readonly unsure: readonly number[];
}

/** What a reader of the numbers must know beside them. */
export function spreadVerdicts(
  problem: SpreadProblem,
  { agreement, inputs, monteCarlo, unsure }: SpreadVerdict,
): Finding[] {
  const findings: Finding[] = [];
  if (!problem.inputs.some(({ moves }) => moves)) {
    findings.push(
      spreadFinding('spread-no-tolerance', null, 'no input of the shot has a tolerance, so its spread is zero'),
    );
  }
  for (const i of unsure) {
    const path = problem.inputs[i]!.paths[0]!;
    findings.push(spreadFinding('spread-sensitivity-unsure', path, `the sensitivity to ${path} depends on its step`));
  }
  if (monteCarlo.no_seat_pct > 0) {
    const message = `in ${inPercent(monteCarlo.no_seat_pct / 100)} of the connectors the needle does not seat; they are left out`;
    findings.push(spreadFinding('spread-no-seat', 'needle', message));
  }
  if (monteCarlo.interfering_pct > 0) {
    const message = `in ${inPercent(monteCarlo.interfering_pct / 100)} of the connectors the cable is thicker than the cavity somewhere; they count as if it went in`;
    findings.push(spreadFinding('spread-cable-tight', 'connector.cable', message));
  }
  findings.push(...agreementFindings(agreement, inputs, monteCarlo.samples));
  return findings;
}

/** One finding of a kind: on the shot, else on shot less aim. */
function agreementFindings(agreement: BothAgreements, inputs: readonly SpreadInputKeys[], samples: number): Finding[] {
  const named = [
    { name: 'shot', of: agreement, share: (input: SpreadInputKeys) => input.share_pct },
    { name: 'shot less aim', of: agreement.margin, share: (input: SpreadInputKeys) => input.margin_share_pct ?? 0 },
  ];
  const apart = named.find(({ of }) => of?.agrees === false);
  if (apart?.of) {
    const { low_difference_uL: low, high_difference_uL: high, tolerance_uL: tolerance } = apart.of;
    const largest = [...inputs].sort((a, b) => apart.share(b) - apart.share(a))[0]?.path ?? null;
    const message = `the ends of the 95 % intervals of the ${apart.name} differ by ${microlitres(low)} and ${microlitres(high)}, more than ${microlitres(tolerance)}; the largest share is that of ${largest}`;
    return [spreadFinding('spread-not-linear', largest, message)];
  }
  const open = named.find(({ of }) => of?.agrees === null);
  if (!open?.of) return [];
  const message = `with ${samples} samples an end of the interval of the ${open.name} is known to ${microlitres(open.of.interval_error_uL)}, and the agreement is judged by ${microlitres(open.of.tolerance_uL)}`;
  return [spreadFinding('spread-few-samples', null, message)];
}

function microlitres(value: number): string {
  return `${shortened(value, 2)} µL`;
}
