import { describe, expect, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { sortTails } from '../../src/numeric/sort-tails.ts';

const random = randomSource(5);
const samples: [string, Float64Array][] = [
  ['random values', Float64Array.from({ length: 5000 }, () => random.normal())],
  ['values of few kinds', Float64Array.from({ length: 5000 }, () => Math.floor(random.uniform() * 4))],
  ['equal values', new Float64Array(5000).fill(2)],
  ['rising values', Float64Array.from({ length: 5000 }, (_, i) => i)],
  ['falling values', Float64Array.from({ length: 5000 }, (_, i) => -i)],
  ['one value', Float64Array.of(3)],
];

describe('the tails of a sample', () => {
  test.each(samples)('are those of the sorted sample: %s', (_, values) => {
    const sorted = Float64Array.from(values).sort(); // the platform's own
    for (const count of [0, 1, Math.floor(values.length / 20), Math.floor(values.length / 2), values.length]) {
      if (count > values.length) continue;
      const found = Float64Array.from(values);
      sortTails(found, count);
      expect(found.subarray(0, count)).toEqual(sorted.subarray(0, count));
      expect(found.subarray(values.length - count)).toEqual(sorted.subarray(values.length - count));
      expect(Float64Array.from(found).sort()).toEqual(sorted); // nothing lost
    }
  });

  test('a wrong count is refused', () => {
    expect(() => sortTails(new Float64Array(3), 4)).toThrow(/count/);
    expect(() => sortTails(new Float64Array(3), 0.5)).toThrow(/count/);
  });
});
