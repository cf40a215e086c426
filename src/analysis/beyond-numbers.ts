import type { Finding } from '../diagnostics/finding.ts';
import { ConvergenceError } from '../numeric/convergence-error.ts';
import { OverflowError } from '../numeric/domain-error.ts';
import { deliveryFinding } from './codes-delivery.ts';

/**
 * The finding for a flow that leaves the numbers a computer has, as extreme values of a flow model can make it; null for
 * every other error, which stays a fault. Such values are sound one by one, so that no check of the file can name them.
 */
export function beyondNumbers(error: unknown): Finding | null {
  const flow = error instanceof OverflowError || (error instanceof ConvergenceError && error.method === 'risingRoot');
  if (!flow) return null;
  return deliveryFinding(
    'flow-model-invalid',
    'resin.rheology',
    `the flow through the needle is too large or too small to be computed (${(error as Error).message})`,
  );
}
