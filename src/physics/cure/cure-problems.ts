import { type ModelProblem, requireNone } from '../rheology/model-problem.ts';
import type { CastroMacosko, CureModel } from './cure-model.ts';

const POSITIVE = 'finite and above zero';
const NOT_NEGATIVE = 'finite and not below zero';

type Need = (parameter: string, value: number, unit: string, ok: boolean, requirement: string) => void;

/** All problems of a cure model's numbers; none means that the viscosity factor is defined at every age. */
export function cureProblems(cure: CureModel): ModelProblem[] {
  const problems: ModelProblem[] = [];
  const need: Need = (parameter, value, unit, ok, requirement) => {
    if (!(Number.isFinite(value) && ok)) problems.push({ parameter, value, unit, requirement });
  };
  switch (cure.model) {
    case 'none':
      break;
    case 'pot-life': {
      const energy = cure.activationEnergy ?? 0;
      need('time', cure.time, 's', cure.time > 0, POSITIVE);
      need('factor', cure.factor, '-', cure.factor > 1, 'above 1: how many times the mixed viscosity is reached');
      need('activationEnergy', energy, 'J/mol', energy >= 0, NOT_NEGATIVE);
      need('referenceTemperature', cure.referenceTemperature, 'K', cure.referenceTemperature > 0, POSITIVE);
      break;
    }
    case 'roller':
      need('rate', cure.rate, '1/s', cure.rate > 0, POSITIVE);
      need('activationEnergy', cure.activationEnergy, 'J/mol', cure.activationEnergy >= 0, NOT_NEGATIVE);
      break;
    case 'castro-macosko':
      kineticsProblems(cure, need);
      break;
    case 'table':
      tableProblems(cure.points, need);
  }
  return problems;
}

function kineticsProblems(cure: CastroMacosko, need: Need): void {
  const starts = cure.A1 > 0 || (cure.A1 === 0 && cure.m === 0 && cure.A2 > 0);
  need('A1', cure.A1, '1/s', starts, 'above zero: with nothing but the αᵐ term the reaction never starts');
  need('A2', cure.A2, '1/s', true, 'finite');
  need('E1', cure.E1, 'J/mol', cure.E1 >= 0, NOT_NEGATIVE);
  need('E2', cure.E2, 'J/mol', cure.E2 >= 0, NOT_NEGATIVE);
  need('m', cure.m, '-', cure.m >= 0, NOT_NEGATIVE);
  need('n', cure.n, '-', cure.n >= 0, NOT_NEGATIVE);
  const gel = cure.gelConversion;
  need('gelConversion', gel, '-', gel > 0 && gel <= 1, 'above 0 and at most 1');
  // Else (αg/(αg − α))^(c1 + c2·α) does not grow towards the gel point. A c2 below zero is common in fits.
  const atGel = cure.c1 + cure.c2 * gel;
  need('c1', cure.c1, '-', atGel > 0, 'such that c1 + c2·gel_conversion is above zero');
  need('c2', cure.c2, '-', true, 'finite');
}

function tableProblems(points: readonly (readonly [number, number])[], need: Need): void {
  need('points', points.length, 'points', points.length > 0, 'one point or more');
  points.forEach(([age, factor], i) => {
    const before = points[i - 1]?.[0];
    if (before === undefined) need(`points[${i}][0]`, age, 's', age >= 0, NOT_NEGATIVE);
    else need(`points[${i}][0]`, age, 's', age > before, `above the age before it (${before} s)`);
    need(`points[${i}][1]`, factor, '-', factor > 0, POSITIVE);
  });
}

/** Throws DomainError for the first problem of {@link cureProblems}. */
export function requireCureModel(cure: CureModel): void {
  requireNone(cureProblems(cure));
}
