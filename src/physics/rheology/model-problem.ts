import { DomainError } from '../../numeric/domain-error.ts';

/** What is wrong with a number of a model, in a form that a caller can turn into a finding. */
export interface ModelProblem {
  /** The field: `time`, `criticalRatio`, `points[2][1]`, … */ readonly parameter: string;
  readonly value: number;
  readonly unit: string;
  /** What it must be. */ readonly requirement: string;
}

/** Throws DomainError for the first of some problems. */
export function requireNone(problems: readonly ModelProblem[]): void {
  const [first] = problems;
  if (first) throw new DomainError(first.parameter, first.value, first.unit, first.requirement);
}
