import { clockText } from '../batch/clock-text.ts';

/** A check that is due while a syringe runs. */
export interface CardCheck {
  readonly shot: number;
  readonly age_min: number;
  /** Null where the time of mixing is not given. */
  readonly at: string | null;
}

/** Checks of a syringe, the first piece among them; *our choice, no source*: each then vouches for a quarter of the run. */
const CHECKS = 4;

/** The shots at which dots are laid, evenly over the run of a syringe; none where nothing is to be made. Ages in s. */
export function cardChecks(
  shots: readonly { readonly shot: number; readonly age: number }[],
  mixedAt: number | undefined,
): CardCheck[] {
  const count = Math.min(CHECKS, shots.length);
  return Array.from({ length: count }, (_, i) => {
    const { shot, age } = shots[Math.floor((i * shots.length) / count)]!;
    return { shot, age_min: age / 60, at: mixedAt === undefined ? null : clockText(mixedAt + age) };
  });
}
