import { describe, expect, test } from 'vitest';
import { numericJacobian } from '../../src/numeric/jacobian.ts';
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

describe('derivatives', () => {
  const unbounded = {
    lower: new Float64Array([-1e300]),
    upper: new Float64Array([1e300]),
    typical: new Float64Array([1]),
  };
  const derivative = (f: (x: number) => number, at: number, careful: boolean, box = unbounded): number =>
    numericJacobian({
      fn: (p, out) => {
        out[0] = f(p[0]!);
      },
      count: 1,
      at: new Float64Array([at]),
      by: [0],
      careful,
      ...box,
    })[0]!;

  test('of exponentials, quick and careful', () => {
    for (const at of [-3, 0.2, 5]) {
      expect(relative(derivative(Math.exp, at, false), Math.exp(at))).toBeLessThan(1e-8);
      expect(relative(derivative(Math.exp, at, true), Math.exp(at))).toBeLessThan(1e-11);
    }
  });

  test('of a peak a hundred times narrower than its place', () => {
    // d/dx exp(−½((x − 450)/4)²) at 452 = −(2/16)·exp(−1/8)
    const peak = (x: number): number => Math.exp(-0.5 * ((x - 450) / 4) ** 2);
    expect(relative(derivative(peak, 452, true), -0.125 * Math.exp(-0.125))).toBeLessThan(1e-9);
  });

  test('at a bound, from the inner side alone', () => {
    const box = { ...unbounded, lower: new Float64Array([1]) };
    const root = (x: number): number => (x < 1 ? Number.NaN : Math.sqrt(x));
    expect(relative(derivative(root, 1, true, box), 0.5)).toBeLessThan(1e-7);
    expect(() => derivative(() => Number.NaN, 1, false)).toThrow(/finite/);
  });
});

describe('bounds, fixed parameters and data that do not tell', () => {
  const x = [0, 1, 2, 3, 4];
  const line: Model = (t, b) => b[0]! + b[1]! * t;

  test('a straight line has the textbook estimates and errors', () => {
    // y = 1, 3, 4, 8, 9: slope 2.1, level 0.8, residuals 0.2, 0.1, −1, 0.9, −0.2: SS = 1.9, s² = 1.9/3, Sxx = 10
    const fit = fitModel(line, x, [1, 3, 4, 8, 9], [{ start: 0 }, { start: 0 }]);
    expect(fit.parameters[0]).toBeCloseTo(0.8, 9);
    expect(fit.parameters[1]).toBeCloseTo(2.1, 9);
    expect(fit.sumOfSquares).toBeCloseTo(1.9, 9);
    expect(fit.residualSd).toBeCloseTo(Math.sqrt(1.9 / 3), 9);
    expect(fit.standardErrors![1]).toBeCloseTo(Math.sqrt(1.9 / 3 / 10), 8);
    expect(fit.standardErrors![0]).toBeCloseTo(Math.sqrt((1.9 / 3) * (1 / 5 + 4 / 10)), 8);
    expect(fit.leverage[0]).toBeCloseTo(1 / 5 + 4 / 10, 8);
    expect(fit.degreesOfFreedom).toBe(3);
  });

  test('an analytic Jacobian gives the same', () => {
    const y = [1, 3, 4, 8, 9];
    const fit = fitLeastSquares({
      count: 5,
      parameters: [{ start: 0 }, { start: 0 }],
      residuals: (b, out) => {
        for (const [i, t] of x.entries()) out[i] = line(t, b) - y[i]!;
      },
      jacobian: (_, out) => {
        for (const [i, t] of x.entries()) out.set([1, t], 2 * i);
      },
    });
    expect(fit.parameters[1]).toBeCloseTo(2.1, 12);
  });

  test('a fixed parameter stays, and has no error', () => {
    // Level fixed at 0: slope Σxy/Σx² = (3 + 8 + 24 + 36)/30
    const fit = fitModel(line, x, [1, 3, 4, 8, 9], [{ start: 0, fixed: true }, { start: 1 }]);
    expect(fit.parameters[0]).toBe(0);
    expect(fit.parameters[1]).toBeCloseTo(71 / 30, 10);
    expect(fit.standardErrors![0]).toBe(0);
    expect(fit.degreesOfFreedom).toBe(4);
  });

  test('a parameter that would leave its bounds ends at the bound, and the others are best for that', () => {
    const fit = fitModel(line, x, [1, 3, 4, 8, 9], [{ start: 2, lower: 1, upper: 5 }, { start: 0 }]);
    expect(fit.parameters[0]).toBe(1);
    expect(fit.atBound).toEqual([0]);
    // Level 1: slope Σx(y − 1)/Σx² = (2 + 6 + 21 + 32)/30
    expect(fit.parameters[1]).toBeCloseTo(61 / 30, 9);
    expect(fit.converged).toBe(true);
  });

  test('parameters that only their sum can tell have no errors', () => {
    const fit = fitModel((_, b) => b[0]! + b[1]!, x, [1, 2, 3, 4, 5], [{ start: 0 }, { start: 1 }]);
    expect(fit.parameters[0]! + fit.parameters[1]!).toBeCloseTo(3, 9);
    expect(fit.standardErrors).toBeNull();
    expect(fit.condition).toBe(Number.POSITIVE_INFINITY);
  });

  test('an exact fit ends as one', () => {
    const fit = fitModel(line, x, [1, 3, 5, 7, 9], [{ start: 0 }, { start: 0 }]);
    expect(fit.converged).toBe(true);
    expect(fit.sumOfSquares).toBeLessThan(1e-20);
  });

  test('a fit that runs out of iterations says so', () => {
    const set = readNonlinear('MGH09');
    const fit = fitLeastSquares({
      count: set.x.length,
      parameters: set.starts[0].map(start => ({ start })),
      residuals: (b, out) => {
        for (const [i, t] of set.x.entries()) out[i] = MODELS['MGH09']!(t, b) - set.y[i]!;
      },
      options: { maxIterations: 3 },
    });
    expect(fit).toMatchObject({ converged: false, reason: 'iteration limit', iterations: 3 });
  });

  test('a wrong call is refused', () => {
    expect(() => fitModel(line, [1], [1], [{ start: 0 }, { start: 0 }])).toThrow(/count/);
    expect(() => fitModel(line, x, x, [{ start: 0, lower: 1 }, { start: 0 }])).toThrow(/start/);
    expect(() => fitModel(() => Number.NaN, x, x, [{ start: 0 }])).toThrow(/finite at the start/);
  });
});
