import { DomainError } from '../numeric/domain-error.ts';
import { compensatedSum, mean } from './descriptive.ts';
import { fTail } from './distributions.ts';

export interface LackOfFit {
  readonly f: number;
  readonly p: number;
  readonly lackDegrees: number;
  readonly pureDegrees: number;
  readonly pureSd: number;
}

/**
 * F-test of lack of fit against pure error from replicates, for any least-squares fit.
 *
 *   SS(pure) = Σ (rᵢ − mean of its group)²,  F = (SS(lack)/(groups − parameters)) / (SS(pure)/(n − groups))
 *
 * Shape: residuals (weighted alike) and for each the name of its group of equal settings.
 * Null where there are no replicates, no more groups than parameters, or replicates without scatter.
 * Throws: DomainError when the lists differ in length.
 * Source: Draper & Smith, Applied Regression Analysis, 3rd ed., sec. 2.1.
 * Evidence: by hand, five readings at three settings.
 */
export function lackOfFit(
  residuals: ArrayLike<number>,
  groups: readonly string[],
  parameters: number,
): LackOfFit | null {
  if (groups.length !== residuals.length)
    throw new DomainError('groups', groups.length, '-', `${residuals.length} in number`);
  const members = new Map<string, number[]>();
  for (const [i, name] of groups.entries()) members.set(name, [...(members.get(name) ?? []), residuals[i]!]);
  const lackDegrees = members.size - parameters;
  const pureDegrees = residuals.length - members.size;
  if (lackDegrees < 1 || pureDegrees < 1) return null;
  const pure = compensatedSum([...members.values()].flatMap(g => g.map(r => (r - mean(g)) ** 2)));
  const all = compensatedSum(Float64Array.from(residuals, r => r * r));
  if (!(pure > 1e-24 * all)) return null;
  const f = Math.max(0, all - pure) / lackDegrees / (pure / pureDegrees);
  const p = fTail(f, { numerator: lackDegrees, denominator: pureDegrees });
  return { f, p, lackDegrees, pureDegrees, pureSd: Math.sqrt(pure / pureDegrees) };
}
