import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { ConvergenceError } from '../../numeric/convergence-error.ts';
import { OverflowError } from '../../numeric/domain-error.ts';
import { DROP_SIZE } from '../../physics/drop/drop.ts';

/**
 * The finding for a flow, or its drop, that leaves the numbers a computer has, as extreme values of a flow model can make it; null for
 * every other error, which stays a fault. Such values are sound one by one, so that no check of the file can name them.
 */
export function beyondNumbers(error: unknown): Finding | null {
  const flow = error instanceof OverflowError || (error instanceof ConvergenceError && error.method === 'risingRoot');
  if (!flow) return null;
  if (error instanceof OverflowError && error.parameter === DROP_SIZE) {
    return deliveryFinding(
      'flow-model-invalid',
      'resin.dot',
      'the drop is too large or too small to be computed',
      'check density, surface tension, contact angle and shots',
    );
  }
  const message = 'the flow through the needle is too large or too small to be computed';
  return deliveryFinding('flow-model-invalid', 'resin.rheology', message);
}

/** The outcome of an analysis, with that finding in place of a result where a flow leaves the numbers. */
export function withinNumbers<T>(analysis: () => Outcome<T>): Outcome<T> {
  try {
    return analysis();
  } catch (error) {
    const found = beyondNumbers(error);
    if (found === null) throw error;
    return { result: null, findings: [found] };
  }
}
