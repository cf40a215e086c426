import { describe, expect, it } from 'vitest';
import { ConvergenceError } from '../../src/numeric/convergence-error.ts';
import { DomainError } from '../../src/numeric/domain-error.ts';
import { type OdeStep, solveOde } from '../../src/numeric/ode.ts';

const oscillator = {
  derivative: (_t: number, y: ArrayLike<number>, dy: Float64Array) => {
    dy[0] = y[1]!;
    dy[1] = -y[0]!;
  },
  initial: [1, 0],
};
const decay = {
  derivative: (_t: number, y: ArrayLike<number>, dy: Float64Array) => {
    dy[0] = -y[0]!;
  },
  initial: [1],
};

/** |a − b| over |b|. */
const off = (a: number, b: number) => Math.abs(a / b - 1);

describe('solveOde', () => {
  it('follows e^(−t) forwards and backwards', () => {
    // Local errors of 1e-10 of a decaying state add up to a few times as much.
    expect(off(solveOde({ ...decay, from: 0, to: 10 }).y[0]!, Math.exp(-10))).toBeLessThan(2e-9);
    expect(off(solveOde({ ...decay, from: 0, to: -3 }).y[0]!, Math.exp(3))).toBeLessThan(1e-9);
  });

  it('follows the logistic curve 1/(1 + 9·e^(−t)), an equation that depends on its own state only', () => {
    const { y } = solveOde({
      derivative: (_t, s, dy) => {
        dy[0] = s[0]! * (1 - s[0]!);
      },
      ...{ from: 0, to: 5, initial: [0.1] },
    });
    expect(off(y[0]!, 1 / (1 + 9 * Math.exp(-5)))).toBeLessThan(1e-9);
  });

  it('follows y = t⁴ + t³ for y′ = 4t³ + 3t² exactly, as a formula of order 5 must', () => {
    const { y } = solveOde({
      derivative: (t, _y, dy) => {
        dy[0] = 4 * t ** 3 + 3 * t ** 2;
      },
      ...{ from: 0, to: 2, initial: [0] },
    });
    expect(y[0]).toBeCloseTo(24, 12);
  });

  it('closes a Kepler ellipse of eccentricity 0.6 after one period 2π', () => {
    const { y } = solveOde({
      derivative: (_t, s, dy) => {
        const r3 = Math.hypot(s[0]!, s[1]!) ** 3;
        dy[0] = s[2]!;
        dy[1] = s[3]!;
        dy[2] = -s[0]! / r3;
        dy[3] = -s[1]! / r3;
      },
      ...{ from: 0, to: 2 * Math.PI, initial: [0.4, 0, 0, 2], relative: 1e-12, absolute: 1e-13 },
    });
    [0.4, 0, 0, 2].forEach((value, i) => {
      expect(Math.abs(y[i]! - value)).toBeLessThan(2e-9); // the orbit magnifies errors by about a thousand
    });
  });

  it('gains about 10^4 in error for 10^5 in tolerance, and needs about ten times the steps', () => {
    const at = (relative: number) => solveOde({ ...oscillator, from: 0, to: 10, relative, absolute: relative });
    const rough = at(1e-5);
    const fine = at(1e-10);
    const gain = Math.abs(rough.y[0]! - Math.cos(10)) / Math.abs(fine.y[0]! - Math.cos(10));
    expect(gain).toBeGreaterThan(3e3);
    // Steps go with tolerance^(−1/5): 10 for five decades.
    expect(fine.steps / rough.steps).toBeGreaterThan(6);
    expect(fine.steps / rough.steps).toBeLessThan(15);
  });

  it('interpolates inside its steps nearly as well as at their ends', () => {
    const steps: OdeStep[] = [];
    solveOde({ ...oscillator, from: 0, to: 6, onStep: step => steps.push(step) });
    expect(steps.length).toBeGreaterThan(20);
    expect(steps[0]!.from).toBe(0);
    expect(steps.at(-1)!.to).toBe(6);
    for (const { from, to, at } of steps) {
      for (const u of [0, 0.1, 0.37, 0.5, 0.9, 1]) {
        const t = from + u * (to - from);
        expect(Math.abs(at(t)[0]! - Math.cos(t))).toBeLessThan(1e-8);
      }
    }
  });

  it('ends at the first terminal event, placed to the accuracy of the solution', () => {
    const falling = solveOde({ ...oscillator, from: 0, to: 100, event: [{ value: (_t, y) => y[0]! }] });
    expect(falling.event).toBe(0);
    expect(Math.abs(falling.t - Math.PI / 2)).toBeLessThan(1e-9);
    expect(Math.abs(falling.y[0]!)).toBeLessThan(1e-15); // the state is on the event to the last bits
    const rising = solveOde({ ...oscillator, from: 0, to: 100, event: [{ value: (_t, y) => y[0]!, direction: 1 }] });
    expect(Math.abs(rising.t - 1.5 * Math.PI)).toBeLessThan(1e-9);
  });

  it('takes the earliest of several events, and lists those that do not end it', () => {
    const end = solveOde({
      ...oscillator,
      ...{ from: 0, to: 100 },
      event: [
        { value: (_t, y) => y[0]! + 0.5 },
        { value: t => t - 0.75, terminal: false },
        { value: (_t, y) => y[0]! - 0.5, terminal: false, direction: -1 },
      ],
    });
    expect(end.event).toBe(0);
    expect(Math.abs(end.t - (2 * Math.PI) / 3)).toBeLessThan(1e-9);
    expect(end.passed.map(p => p.event)).toEqual([1, 2]);
    expect(end.passed[0]!.t).toBeCloseTo(0.75, 13);
    expect(Math.abs(end.passed[1]!.t - Math.PI / 3)).toBeLessThan(1e-9);
  });

  it('sees an event that is crossed and crossed back inside one step', () => {
    // Free flight is a polynomial: one step would do. The body is above 1 only from t = 0.9 to 1.1 of 2.
    const end = solveOde({
      derivative: (_t, y, dy) => {
        dy[0] = y[1]!;
        dy[1] = -2;
      },
      ...{ from: 0, to: 2, initial: [0, 2] },
      event: [{ value: (_t, y) => y[0]! - 0.99 }],
    });
    expect(end.t).toBeCloseTo(0.9, 10); // 2t − t² = 0.99
  });

  it('does nothing over an empty span', () => {
    expect(solveOde({ ...decay, from: 1, to: 1 })).toMatchObject({ t: 1, y: [1], event: null, steps: 0 });
  });

  it('refuses calls that make no sense and gives up on a blow-up', () => {
    expect(() => solveOde({ ...decay, from: Number.NaN, to: 1 })).toThrow(DomainError);
    expect(() => solveOde({ ...decay, from: 0, to: 1, initial: [Number.POSITIVE_INFINITY] })).toThrow(DomainError);
    expect(() => solveOde({ ...decay, from: 0, to: 1, relative: 0 })).toThrow(DomainError);
    expect(() => solveOde({ ...decay, from: 0, to: 1, absolute: [1e-9, 1e-9] })).toThrow(DomainError);
    const blowUp = {
      derivative: (_t: number, y: ArrayLike<number>, dy: Float64Array) => {
        dy[0] = y[0]! ** 2;
      },
    };
    expect(() => solveOde({ ...blowUp, from: 0, to: 2, initial: [1] })).toThrow(ConvergenceError); // 1/(1 − t)
    const { steps } = solveOde({ ...decay, from: 0, to: 5 });
    expect(() => solveOde({ ...decay, from: 0, to: 5, maxSteps: steps - 1 })).toThrow(ConvergenceError);
    expect(solveOde({ ...decay, from: 0, to: 5, maxSteps: steps + 1 }).steps).toBe(steps);
  });
});
