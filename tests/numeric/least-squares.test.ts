import { describe, expect, test } from 'vitest';
import { type FitParameter, fitLeastSquares } from '../../src/numeric/least-squares.ts';
import { readNonlinear } from './strd.ts';

type Model = (x: number, b: Float64Array) => number;

/** Models as printed in the files of NIST StRD. */
const MODELS: Record<string, Model> = {
  Misra1a: (x, b) => b[0]! * (1 - Math.exp(-b[1]! * x)),
  Chwirut2: (x, b) => Math.exp(-b[0]! * x) / (b[1]! + b[2]! * x),
  DanWood: (x, b) => b[0]! * x ** b[1]!,
  MGH09: (x, b) => (b[0]! * (x * x + x * b[1]!)) / (x * x + x * b[2]! + b[3]!),
  Thurber: (x, b) =>
    (b[0]! + b[1]! * x + b[2]! * x ** 2 + b[3]! * x ** 3) / (1 + b[4]! * x + b[5]! * x ** 2 + b[6]! * x ** 3),
  Eckerle4: (x, b) => (b[0]! / b[1]!) * Math.exp(-0.5 * ((x - b[2]!) / b[1]!) ** 2),
  BoxBOD: (x, b) => b[0]! * (1 - Math.exp(-b[1]! * x)),
  Rat43: (x, b) => b[0]! / (1 + Math.exp(b[1]! - b[2]! * x)) ** (1 / b[3]!),
  Bennett5: (x, b) => b[0]! * (b[1]! + x) ** (-1 / b[2]!),
};

const fitModel = (model: Model, x: readonly number[], y: readonly number[], parameters: FitParameter[]) =>
  fitLeastSquares({
    count: x.length,
    parameters,
    residuals: (b, out) => {
      for (let i = 0; i < x.length; i++) out[i] = model(x[i]!, b) - y[i]!;
    },
  });

const relative = (value: number, expected: number): number => Math.abs(value / expected - 1);

describe('NIST StRD nonlinear regression, certified to 11 digits', () => {
  for (const [name, model] of Object.entries(MODELS)) {
    const set = readNonlinear(name);
    test.each([1, 2])(`${name} from start %i`, start => {
      const fit = fitModel(
        model,
        set.x,
        set.y,
        set.starts[start - 1]!.map(v => ({ start: v })),
      );
      expect(fit.converged).toBe(true);
      for (const [k, certified] of set.parameters.entries()) {
        expect(relative(fit.parameters[k]!, certified)).toBeLessThan(1e-7);
        expect(relative(fit.standardErrors![k]!, set.deviations[k]!)).toBeLessThan(1e-6);
      }
      expect(relative(fit.sumOfSquares, set.sumOfSquares)).toBeLessThan(1e-9);
    });
  }
});
