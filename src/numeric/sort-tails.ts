import { DomainError } from './domain-error.ts';

/**
 * Puts the `count` smallest values in order at the front and the `count` largest at the back; what lies between is in no order.
 * What an interval at the tails of a large sample needs, in a fraction of the time of sorting it all.
 *
 * Throws: DomainError when the count is not a whole number from 0 to the length. NaN is not allowed among the values.
 * Source: C. A. R. Hoare, Comm. ACM 4 (1961) 321 (selection by partition).
 * Evidence: agrees with a full sort, for random, equal and ordered values.
 */
export function sortTails(values: Float64Array, count: number): void {
  const n = values.length;
  if (!(Number.isInteger(count) && count >= 0 && count <= n)) {
    throw new DomainError('count', count, '-', `a whole number from 0 to ${n}`);
  }
  if (2 * count >= n) {
    values.sort();
    return;
  }
  select(values, count, 0, n - 1);
  select(values, n - count - 1, count, n - 1);
  values.subarray(0, count).sort();
  values.subarray(n - count).sort();
}

/** Moves the value of rank k to place k, smaller ones before it and larger ones behind. */
function select(values: Float64Array, k: number, from: number, to: number): void {
  let left = from;
  let right = to;
  while (left < right) {
    const pivot = medianOfThree(values[left]!, values[(left + right) >> 1]!, values[right]!);
    let i = left;
    let j = right;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const other = values[i]!;
      values[i++] = values[j]!;
      values[j--] = other;
    }
    if (k <= j) right = j;
    else if (k >= i) left = i;
    else return;
  }
}

function medianOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
