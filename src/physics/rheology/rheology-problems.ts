import { DomainError } from '../../numeric/domain-error.ts';
import type { CarreauYasuda, CrossRheology, Rheology, TableRheology } from './rheology.ts';

/** What is wrong with a number of a flow model, in a form that a caller can turn into a finding. */
export interface RheologyProblem {
  /** The field: `viscosity`, `flowIndex`, `points[2][1]`, … */ readonly parameter: string;
  readonly value: number;
  readonly unit: string;
  /** What it must be. */ readonly requirement: string;
}

const POSITIVE = 'finite and above zero';
const NOT_NEGATIVE = 'finite and not below zero';

/**
 * All problems of a flow model's numbers; none means that stress rises with shear rate without limit, so that every
 * stress above yield has one shear rate.
 *
 *   Cross with m > 1:            dτ/dγ̇ ≥ η∞ − (η₀ − η∞)(m − 1)²/(4m)
 *   Carreau–Yasuda with n < 0:   dτ/dγ̇ = η∞ + (η₀ − η∞)(1 + y)^((n−1)/a − 1)(1 + n·y), y = (t·γ̇)^a, least where
 *                                y = −(p + n)/(n(p + 1)), p = (n − 1)/a − 1
 *   table:                       viscosity may not fall faster than 1/γ̇ between two points
 *
 * Source: derived here by differentiation. Evidence: scan of the slope on both sides of the limit.
 */
export function rheologyProblems(r: Rheology): RheologyProblem[] {
  const problems: RheologyProblem[] = [];
  const need = (parameter: string, value: number, unit: string, ok: boolean, requirement: string) => {
    if (!(Number.isFinite(value) && ok)) problems.push({ parameter, value, unit, requirement });
  };
  switch (r.model) {
    case 'newtonian':
      need('viscosity', r.viscosity, 'Pa·s', r.viscosity > 0, POSITIVE);
      break;
    case 'power-law':
    case 'herschel-bulkley':
      if (r.model === 'herschel-bulkley') need('yieldStress', r.yieldStress, 'Pa', r.yieldStress >= 0, NOT_NEGATIVE);
      need('consistency', r.consistency, 'Pa·sⁿ', r.consistency > 0, POSITIVE);
      need('flowIndex', r.flowIndex, '-', r.flowIndex > 0, POSITIVE);
      break;
    case 'bingham':
    case 'casson':
      need('yieldStress', r.yieldStress, 'Pa', r.yieldStress >= 0, NOT_NEGATIVE);
      need('viscosity', r.viscosity, 'Pa·s', r.viscosity > 0, POSITIVE);
      break;
    case 'cross':
    case 'carreau-yasuda':
      need('zero', r.zero, 'Pa·s', r.zero > 0, POSITIVE);
      need('infinity', r.infinity, 'Pa·s', r.infinity >= 0, NOT_NEGATIVE);
      need('time', r.time, 's', r.time > 0, POSITIVE);
      if (r.model === 'cross') need('m', r.m, '-', r.m > 0, POSITIVE);
      else {
        need('a', r.a, '-', r.a > 0, POSITIVE);
        need('n', r.n, '-', true, 'finite');
      }
      if (problems.length === 0) problems.push(...risingStressProblems(r));
      break;
    case 'table':
      problems.push(...tableProblems(r));
  }
  return problems;
}

function risingStressProblems(r: CrossRheology | CarreauYasuda): RheologyProblem[] {
  const { zero, infinity } = r;
  const index = r.model === 'cross' ? 1 - r.m : r.n;
  const parameter = r.model === 'cross' ? 'm' : 'n';
  const value = r.model === 'cross' ? r.m : r.n;
  if (r.model === 'carreau-yasuda' && zero < infinity && r.n > 1) {
    const requirement = 'at most 1 where infinity is above zero: the viscosity does not stay positive';
    return [{ parameter, value, unit: '-', requirement }];
  }
  if (zero === infinity || index > 0) return [];
  const thinning = zero - infinity;
  let least = infinity; // least slope dτ/dγ̇ [Pa·s]; for index 0 it is reached at infinite rate
  if (index < 0 && r.model === 'cross') least = infinity - (thinning * (r.m - 1) ** 2) / (4 * r.m);
  if (index < 0 && r.model === 'carreau-yasuda') {
    const p = (r.n - 1) / r.a - 1;
    const y = -(p + r.n) / (r.n * (p + 1));
    least = infinity + thinning * (1 + y) ** p * (1 + r.n * y);
  }
  // A thickening model (infinity above zero) has its least slope at rest, where it is the zero viscosity.
  if (thinning < 0 || least > 0) return [];
  const side = r.model === 'cross' ? 'smaller' : 'larger';
  const requirement = `${side}, or infinity nearer to zero: the shear stress does not keep rising with shear rate`;
  return [{ parameter, value, unit: '-', requirement }];
}

function tableProblems(r: TableRheology): RheologyProblem[] {
  const problems: RheologyProblem[] = [];
  if (r.points.length < 2) {
    problems.push({ parameter: 'points', value: r.points.length, unit: 'points', requirement: 'two points or more' });
  }
  r.points.forEach(([rate, viscosity], i) => {
    if (!(Number.isFinite(rate) && rate > 0)) {
      problems.push({ parameter: `points[${i}][0]`, value: rate, unit: '1/s', requirement: POSITIVE });
    }
    if (!(Number.isFinite(viscosity) && viscosity > 0)) {
      problems.push({ parameter: `points[${i}][1]`, value: viscosity, unit: 'Pa·s', requirement: POSITIVE });
    }
  });
  if (problems.length > 0) return problems;
  const order = r.points.map((_, i) => i).sort((i, j) => r.points[i]![0] - r.points[j]![0]);
  for (let k = 1; k < order.length; k++) {
    const i = order[k]!;
    const [rate, viscosity] = r.points[i]!;
    const [rateBefore, viscosityBefore] = r.points[order[k - 1]!]!;
    if (rate === rateBefore) {
      const requirement = 'a shear rate that no other point has';
      problems.push({ parameter: `points[${i}][0]`, value: rate, unit: '1/s', requirement });
    } else if (!(rate * viscosity > rateBefore * viscosityBefore * (1 + 1e-12))) {
      const limit = (rateBefore * viscosityBefore) / rate;
      const requirement = `above ${limit} Pa·s, so that the shear stress rises with shear rate`;
      problems.push({ parameter: `points[${i}][1]`, value: viscosity, unit: 'Pa·s', requirement });
    }
  }
  return problems;
}

/** Throws DomainError for the first problem of {@link rheologyProblems}. */
export function requireRheology(r: Rheology): void {
  const [first] = rheologyProblems(r);
  if (first) throw new DomainError(first.parameter, first.value, first.unit, first.requirement);
}
