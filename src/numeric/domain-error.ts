/** A wrong call: an argument outside the domain of a function. Never thrown for what a user wrote in a recipe. */
export class DomainError extends RangeError {
  override readonly name: string = 'DomainError';

  constructor(
    readonly parameter: string,
    readonly value: number,
    readonly unit: string,
    readonly requirement: string,
  ) {
    super(`${parameter} = ${value} ${unit}: must be ${requirement}`);
  }
}

/** A call whose result is too large, or too small, to be written as a number. */
export class OverflowError extends DomainError {
  override readonly name = 'OverflowError';
}

/** Throws unless the value is finite and above zero. */
export function requirePositive(parameter: string, value: number, unit: string): void {
  if (!(Number.isFinite(value) && value > 0)) throw new DomainError(parameter, value, unit, 'finite and above zero');
}

/** Throws unless the value is finite and zero or above. */
export function requireNonNegative(parameter: string, value: number, unit: string): void {
  if (!(Number.isFinite(value) && value >= 0))
    throw new DomainError(parameter, value, unit, 'finite and not below zero');
}

/** Throws unless the value is finite. */
export function requireFinite(parameter: string, value: number, unit: string): void {
  if (!Number.isFinite(value)) throw new DomainError(parameter, value, unit, 'finite');
}
