import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { shortened } from '../../diagnostics/number-words.ts';
import { type FitOptions, type FitResult, PARAMETERS } from './fit.ts';

/** A parameter that a fit does without: its key and the value that has no effect. */
export interface Needless {
  readonly key: keyof NonNullable<FitOptions['fixed']>;
  readonly neutral: number;
  readonly finding: Finding;
}

/**
 * Offset and dead time whose interval holds no effect, and which the best of the fits by AICc is without. The viscosity factor is not among
 * them: that it is near one, and how near, is what the trials were made for.
 */
export function needlessParameters({ parameters, models }: FitResult): Needless[] {
  const best = models[0];
  if (best === undefined || best.aicc === null) return [];
  const free = best.name.split(' + ');
  return PARAMETERS.flatMap(({ key, name, neutral }): Needless[] => {
    const p = parameters.find(one => one.name === name)!;
    if (key === 'viscosity_factor' || p.fixed || p.at_bound || free.includes(key)) return [];
    const told = p.low !== null || p.high !== null || p.open === 'both';
    const holds = (p.low ?? Number.NEGATIVE_INFINITY) <= neutral && neutral <= (p.high ?? Number.POSITIVE_INFINITY);
    if (!told || !holds) return [];
    const ends = [
      p.low === null ? 'anything below' : shortened(p.low, 3),
      p.high === null ? 'anything above' : shortened(p.high, 3),
    ];
    const message = `${name} is not written: its interval, ${ends.join(' to ')}, holds no effect, and AICc does without it; the rest is fitted without it`;
    return [{ key, neutral, finding: floorFinding('fit-needless', null, message) }];
  });
}
