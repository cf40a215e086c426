/**
 * How often something is repeated: a share of it in `npm test`, all of it in `npm run test:long`, where a file `*.long.test.ts` takes in the
 * tests of its neighbour. What is checked is the same.
 */
export const repetitions = (share: number, all: number): number => (isLong ? all : share);

const isLong = process.env['MODE'] === 'long';

/** Of a list, all in the long run; else every `step`-th, from a place that differs by `turn`, so that all have their turn somewhere. */
export function shareOf<T>(list: readonly T[], step: number, turn: number): readonly T[] {
  return isLong ? list : list.filter((_, i) => (i + turn) % step === 0);
}
