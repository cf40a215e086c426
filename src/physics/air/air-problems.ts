import { type ModelProblem, requireNone } from '../rheology/model-problem.ts';
import type { AirModel } from './air-model.ts';

const POSITIVE = 'finite and above zero';
const NOT_NEGATIVE = 'finite and not below zero';

/** All problems of an air model's numbers, at a surrounding pressure [Pa absolute]. */
export function airProblems(air: AirModel, atmosphere: number): ModelProblem[] {
  const problems: ModelProblem[] = [];
  const need = (parameter: string, value: number, unit: string, ok: boolean, requirement: string) => {
    if (!(Number.isFinite(value) && ok)) problems.push({ parameter, value, unit, requirement });
  };
  switch (air.model) {
    case 'ideal':
      break;
    case 'first-order':
      for (const key of ['rise', 'fall', 'delay'] as const) need(key, air[key], 's', air[key] >= 0, NOT_NEGATIVE);
      break;
    case 'iso6358':
      for (const key of ['conductance', 'exhaustConductance'] as const) {
        need(key, air[key], 'm³/(s·Pa)', air[key] > 0, POSITIVE);
      }
      for (const key of ['criticalRatio', 'exhaustCriticalRatio'] as const) {
        need(key, air[key], '-', air[key] >= 0 && air[key] < 1, 'from 0 to below 1');
      }
      need('exponent', air.exponent, '-', air.exponent >= 1 && air.exponent <= 1.4, 'from 1 to 1.4');
      need(
        'ventTo',
        air.ventTo,
        'Pa',
        air.ventTo <= 0 && air.ventTo > -atmosphere,
        `a gauge pressure at most 0 and above −${atmosphere} Pa`,
      );
  }
  return problems;
}

/** Throws DomainError for the first problem of {@link airProblems}. */
export function requireAirModel(air: AirModel, atmosphere: number): void {
  requireNone(airProblems(air, atmosphere));
}
