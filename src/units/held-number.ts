/** Magnitudes between which a quantity lies that is not zero [SI]: far outside everything that can be measured. */
const LEAST = 1e-30;
const MOST = 1e30;

/**
 * True for a number that powers and products of quantities can be made of without leaving the numbers of a computer: zero, or
 * of a magnitude from 1e-30 to 1e30.
 */
export function isHeld(value: number): boolean {
  const size = Math.abs(value);
  return size === 0 || (size >= LEAST && size <= MOST);
}

/** What a finding says about another, after the text. */
export const NOT_HELD = 'is beyond the numbers we can hold';
export const HELD_HELP = `zero and ${LEAST} to ${MOST} in SI units can be held`;
