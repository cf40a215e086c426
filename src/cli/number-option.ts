import { InvalidArgumentError } from 'commander';

/** Parser of an option that is a whole number of at least `least`. */
export function wholeNumber(least: number): (text: string) => number {
  return text => {
    const value = Number(text);
    if (/^\d+$/.test(text) && Number.isSafeInteger(value) && value >= least) return value;
    throw new InvalidArgumentError(`Write a whole number, ${least} or above.`);
  };
}

/** Parser of an option that is a plain number above zero, without a unit. */
export function positiveNumber(text: string): number {
  const value = Number(text);
  if (/^\d*\.?\d+(e[+-]?\d+)?$/i.test(text) && Number.isFinite(value) && value > 0) return value;
  throw new InvalidArgumentError('Write a number above zero, without a unit.');
}
