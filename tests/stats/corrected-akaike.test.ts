import { expect, test } from 'vitest';
import { correctedAkaike } from '../../src/stats/corrected-akaike.ts';

test('AICc by hand', () => {
  // n = 10, RSS = 10, two parameters: k = 3; 10·ln 1 + 6 + 24/6 = 10.
  expect(correctedAkaike({ sumOfSquares: 10, count: 10, parameters: 2 })).toBeCloseTo(10, 12);
  expect(correctedAkaike({ sumOfSquares: 10, count: 4, parameters: 2 })).toBeNull();
});
