/** Relative grace of inclusive limits: a value this little past a limit counts as on it. */
export const LIMIT_GRACE = 1e-9;

/** Whether value is at most limit, to the grace. */
export function atMost(value: number, limit: number): boolean {
  return value <= limit + Math.abs(limit) * LIMIT_GRACE;
}

/** Whether value is at least limit, to the grace. */
export function atLeast(value: number, limit: number): boolean {
  return value >= limit - Math.abs(limit) * LIMIT_GRACE;
}
