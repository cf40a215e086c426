import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { fit as fitTrials } from '../../../src/analysis/fit/fit.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { loadRecipe } from '../../../src/recipe/format/load.ts';

/** No data are known on which the solver gives up, so a solver with one iteration stands in for it. */
vi.mock('../../../src/numeric/least-squares.ts', async original => {
  const actual = await original<typeof import('../../../src/numeric/least-squares.ts')>();
  const fitLeastSquares: typeof actual.fitLeastSquares = problem =>
    actual.fitLeastSquares({ ...problem, options: { ...problem.options, maxIterations: 1 } });
  return { ...actual, fitLeastSquares };
});

const ROW = { age: 720, temperature: 296.15, shots: 5, diameter: null };

describe('a fit that does not come to an end', () => {
  it('says so and gives no numbers', async () => {
    const file = join(import.meta.dirname, '../../../examples/floor/pigtail.yaml');
    const { recipe } = await loadRecipe(file, nodeFileSystem, {});
    const rows = [
      { ...ROW, pressure: 1e5, dwell: 1, mass: 9.4e-6, line: 2 },
      { ...ROW, pressure: 2e5, dwell: 0.5, mass: 9.9e-6, line: 3 },
      { ...ROW, pressure: 4e5, dwell: 0.2, mass: 7.7e-6, line: 4 },
      { ...ROW, pressure: 4e5, dwell: 1, mass: 38e-6, line: 5 },
    ];
    const { result, findings } = fitTrials(recipe!, rows);
    expect(result).toBeNull();
    expect(findings).toMatchObject([
      { code: 'fit-not-converged', severity: 'error', message: 'the fit stopped after 1 iterations: iteration limit' },
    ]);
  });
});
