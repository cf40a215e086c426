import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inPercent, shortened } from '../../diagnostics/number-words.ts';
import type { FirstOrder } from './first-order-spread.ts';
import type { MonteCarlo } from './monte-carlo-spread.ts';
import { type SpreadAgreement, spreadAgreement } from './spread-agreement.ts';
import type { SpreadProblem } from './spread-problem.ts';

/** Of the shot, and of shot less aim; null without a window. */
export interface BothAgreements {
  readonly shot: SpreadAgreement;
  readonly margin: SpreadAgreement | null;
}

/** Both ways to the spread of a problem. */
export interface BothWays {
  readonly first: FirstOrder;
  readonly run: MonteCarlo;
}

/** Of the shot and of shot less aim, each by its own intervals. */
export function bothAgreements({ nominal }: SpreadProblem, { first, run }: BothWays): BothAgreements {
  const { shot, window } = nominal;
  const shared = { samples: run.samples, scale: shot };
  const part = (mean: number, { uncertainty }: FirstOrder['shot']) => ({ mean, uncertainty });
  const apart = window !== null && first.margin !== null && run.margin !== null;
  return {
    shot: spreadAgreement({ first: part(shot, first.shot), run: run.shot, ...shared }),
    margin: apart
      ? spreadAgreement({ first: part(shot - window.aim, first.margin), run: run.margin, ...shared })
      : null,
  };
}

/** What a reader of the numbers must know beside them. */
export function spreadVerdicts(problem: SpreadProblem, ways: BothWays, agreements: BothAgreements): Finding[] {
  const { first, run } = ways;
  const findings: Finding[] = [];
  if (!problem.inputs.some(({ moves }) => moves)) {
    findings.push(
      spreadFinding('spread-no-tolerance', null, 'no input of the shot has a tolerance, so its spread is zero'),
    );
  }
  for (const i of first.unsure) {
    const path = problem.inputs[i]!.paths[0]!;
    findings.push(spreadFinding('spread-sensitivity-unsure', path, `the sensitivity to ${path} depends on its step`));
  }
  if (run.noSeat > 0) {
    const message = `in ${inPercent(run.noSeat / (run.samples + run.noSeat))} of the connectors the needle does not seat; they are left out`;
    findings.push(spreadFinding('spread-no-seat', 'needle', message));
  }
  if (run.interfering > 0) {
    const message = `in ${inPercent(run.interfering / run.samples)} of the connectors the cable is thicker than the cavity somewhere; they count as if it went in`;
    findings.push(spreadFinding('spread-cable-tight', 'connector.cable', message));
  }
  findings.push(...agreementFindings(problem, ways, agreements));
  return findings;
}

/** One finding of a kind: on the shot, else on shot less aim. */
function agreementFindings(
  { inputs }: SpreadProblem,
  { first, run }: BothWays,
  { shot, margin }: BothAgreements,
): Finding[] {
  const named = [
    { name: 'shot', of: shot, shares: first.shot.shares },
    { name: 'shot less aim', of: margin, shares: first.margin?.shares ?? [] },
  ];
  const apart = named.find(({ of }) => of?.agrees === false);
  if (apart?.of) {
    const { lowDifference, highDifference, tolerance } = apart.of;
    const most = apart.shares.indexOf(Math.max(...apart.shares));
    const largest = inputs[most]?.paths[0] ?? null;
    const message = `the ends of the 95 % intervals of the ${apart.name} differ by ${microlitres(lowDifference)} and ${microlitres(highDifference)}, more than ${microlitres(tolerance)}; the largest share is that of ${largest}`;
    return [spreadFinding('spread-not-linear', largest, message)];
  }
  const open = named.find(({ of }) => of?.agrees === null);
  if (!open?.of) return [];
  const message = `with ${run.samples} samples an end of the interval of the ${open.name} is known to ${microlitres(open.of.intervalError)}, and the agreement is judged by ${microlitres(open.of.tolerance)}`;
  return [spreadFinding('spread-few-samples', null, message)];
}

function microlitres(volume: number): string {
  return `${shortened(volume * 1e9, 2)} µL`;
}
