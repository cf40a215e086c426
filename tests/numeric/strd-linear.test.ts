import { describe, expect, test } from 'vitest';
import { inverseNormalMatrix, matrix, qrFactors, solveWithQr } from '../../src/numeric/linear-algebra.ts';
import { readLinear } from './strd.ts';

// NIST Statistical Reference Datasets, linear regression: certified to 15 digits, solved by the factors that every fit
// steps with. Longley's columns depend on each other to five digits.
describe('NIST StRD linear regression', () => {
  test.each(['Norris', 'Longley'])('%s to nine digits or better', name => {
    const set = readLinear(name);
    const { y, design } = set;
    const columns = set.estimates.length;
    const factors = qrFactors(matrix({ rows: y.length, columns }, design.flat()));
    const estimates = solveWithQr(factors, y);
    const squares = design.map((row, i) => (y[i]! - row.reduce((sum, a, j) => sum + a * estimates[j]!, 0)) ** 2);
    const residualSd = Math.sqrt(squares.reduce((a, b) => a + b, 0) / (y.length - columns));
    const covariance = inverseNormalMatrix(factors);

    expect(columns).toBe(name === 'Norris' ? 2 : 7);
    expect(Math.abs(residualSd / set.residualSd - 1)).toBeLessThan(1e-9);
    for (const [k, certified] of set.estimates.entries()) {
      expect(Math.abs(estimates[k]! / certified - 1)).toBeLessThan(1e-9);
      const deviation = residualSd * Math.sqrt(covariance.data[k * columns + k]!);
      expect(Math.abs(deviation / set.deviations[k]! - 1)).toBeLessThan(1e-9);
    }
  });
});
