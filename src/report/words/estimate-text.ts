import type { FitEstimate } from '../../analysis/fit/fit-report.ts';
import { NONE, numberText } from './number-text.ts';

/** "3.1 to 4.2"; what has no end says so. */
export function intervalText({ low, high, open }: FitEstimate): string {
  if (open === 'both') return 'open both ways';
  if (low !== null)
    return open === 'high'
      ? `from ${numberText(low, 4)}, open above`
      : `${numberText(low, 4)} to ${numberText(high, 4)}`;
  return high === null ? NONE : `to ${numberText(high, 4)}, open below`;
}

/** Fitted values in a sentence, each with its 95 % interval. */
export function estimatesText(parameters: readonly FitEstimate[]): string {
  const each = parameters.map(p => {
    const interval = p.fixed ? ', kept' : intervalText(p) === NONE ? '' : ` (${intervalText(p)})`;
    return `${p.name} ${numberText(p.estimate, 4)}${interval}`;
  });
  return `Fitted, with 95 % intervals: ${each.join('; ')}.`;
}
