import type { Finding } from './finding.ts';

/** Items in their order, the first of those with one key. */
export function distinctBy<T>(items: readonly T[], keyOf: (item: T) => string): T[] {
  const seen = new Set<string>();
  return items.filter(item => {
    const key = keyOf(item);
    return seen.has(key) ? false : seen.add(key);
  });
}

/** Findings in their order, each said once. */
export function distinct<F extends Finding>(findings: readonly F[]): F[] {
  return distinctBy(findings, ({ code, path, message }) => JSON.stringify([code, path, message]));
}
