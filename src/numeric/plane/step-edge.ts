/**
 * Where a sampled profile passes a level, to a fraction of a sample: straight between the two samples on either side. From `start` on
 * in steps of `step` (1 or -1); null where it does not before the profile ends.
 */
export function crossing(
  profile: ArrayLike<number>,
  level: number,
  { start, step }: { start: number; step: 1 | -1 },
): number | null {
  for (let i = start; i + step >= 0 && i + step < profile.length; i += step) {
    const [a, b] = [profile[i]! - level, profile[i + step]! - level];
    if (a === 0) return i;
    if (a * b <= 0) return i + (step * a) / (a - b);
  }
  return null;
}
