import { InvalidArgumentError } from 'commander';

/** Parser of an option that is a whole number of at least `least`, and of at most `most` where there is a bound. */
export function wholeNumber(least: number, most = Number.MAX_SAFE_INTEGER): (text: string) => number {
  return text => {
    const value = Number(text);
    if (/^\d+$/.test(text) && Number.isSafeInteger(value) && value >= least && value <= most) return value;
    const range = most === Number.MAX_SAFE_INTEGER ? `${least} or above` : `${least} or above and at most ${most}`;
    throw new InvalidArgumentError(`Write a whole number, ${range}.`);
  };
}

/** Parser of an option that is a plain number above zero, without a unit. */
export function positiveNumber(text: string): number {
  const value = Number(text);
  if (/^\d*\.?\d+(e[+-]?\d+)?$/i.test(text) && Number.isFinite(value) && value > 0) return value;
  throw new InvalidArgumentError('Write a number above zero, without a unit.');
}
