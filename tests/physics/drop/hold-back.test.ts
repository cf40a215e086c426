import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { commonWindow, holdBackWindow, safeHoldBackWindow, yieldHold } from '../../../src/physics/drop/hold-back.ts';

/** Hand numbers: head 1000·9.80665·0.1 = 980.665 Pa; meniscus 4·0.04/0.0004 = 400 Pa. */
const tip = {
  height: 0.1,
  density: 1000,
  surfaceTension: 0.04,
  bore: 0.4e-3,
  contactAngle: Math.PI / 3, // cos = 1/2
  friction: 0,
  yieldHold: 0,
};

describe('the hold-back window', () => {
  test('runs from head less meniscus to head plus meniscus·cos θ: 580.665 to 1180.665 Pa', () => {
    const w = holdBackWindow(tip);
    expect(w.min).toBeCloseTo(580.665, 9);
    expect(w.max).toBeCloseTo(1180.665, 9);
    expect(w.exists).toBe(true);
  });

  test('widens by friction and by what a yield stress holds, each way: 150 + 30 Pa', () => {
    const w = holdBackWindow({ ...tip, friction: 150, yieldHold: 30 });
    expect(w.min).toBeCloseTo(400.665, 9);
    expect(w.max).toBeCloseTo(1360.665, 9);
  });

  test('that is safe whatever the plunger keeps is narrower by friction, wider by yield stress: 580.665 + 150 − 30 to 1180.665 − 150 + 30 Pa', () => {
    const safe = safeHoldBackWindow({ ...tip, friction: 150, yieldHold: 30 });
    expect(safe.min).toBeCloseTo(700.665, 9);
    expect(safe.max).toBeCloseTo(1060.665, 9);
    // both ends by themselves: 150 Pa more over the tip is 0.1 m + 150/(1000·9.80665) of resin, and less likewise
    const shift = 150 / (1000 * 9.80665);
    const [more, less] = [shift, -shift].map(h => holdBackWindow({ ...tip, height: tip.height + h, yieldHold: 30 }));
    const both = commonWindow(more!, less!);
    expect(safe.min).toBeCloseTo(both.min, 9);
    expect(safe.max).toBeCloseTo(both.max, 9);
  });

  test('is safe nowhere once the plunger keeps more than the meniscus spans: 400·(1 + ½)/2 = 300 Pa', () => {
    expect(safeHoldBackWindow({ ...tip, friction: 299.9 }).exists).toBe(true);
    expect(safeHoldBackWindow({ ...tip, friction: 300.1 }).exists).toBe(false);
    expect(safeHoldBackWindow(tip)).toEqual(holdBackWindow(tip));
  });

  test('never asks for less than no vacuum', () => {
    expect(holdBackWindow({ ...tip, height: 0.02 }).min).toBe(0); // head 196 Pa, the meniscus alone holds it
  });

  test('does not exist where the resin does not wet and the head is small', () => {
    const w = holdBackWindow({ ...tip, height: 0.01, contactAngle: Math.PI }); // max = 98 − 400 Pa
    expect(w.max).toBeCloseTo(98.0665 - 400, 9);
    expect(w.exists).toBe(false);
  });

  test('one setting serves two windows where they overlap', () => {
    const full = { min: 500, max: 900, exists: true };
    expect(commonWindow(full, { min: 0, max: 600, exists: true })).toEqual({ min: 500, max: 600, exists: true });
    expect(commonWindow(full, { min: 0, max: 400, exists: true }).exists).toBe(false);
    expect(commonWindow(full, { min: 0, max: 500, exists: true }).exists).toBe(true); // one value is a setting
  });

  test('a yield stress holds 4·τ₀·L/d in a cylinder: 4·10·0.01/0.0005 = 800 Pa', () => {
    const sections = [{ front: 0.5e-3, rear: 0.5e-3, length: 0.01 }];
    expect(yieldHold({ yieldStress: 10, sections })).toBeCloseTo(800, 9);
    expect(yieldHold({ yieldStress: 0, sections })).toBe(0);
  });

  test('and in a cone of 1 mm to 0.5 mm over 10 mm 4·10·0.01·ln 2/0.0005 = 554.5 Pa, whichever way it is turned', () => {
    const down = yieldHold({ yieldStress: 10, sections: [{ front: 1e-3, rear: 0.5e-3, length: 0.01 }] });
    const up = yieldHold({ yieldStress: 10, sections: [{ front: 0.5e-3, rear: 1e-3, length: 0.01 }] });
    expect(down).toBeCloseTo(800 * Math.LN2, 9);
    expect(up).toBeCloseTo(down, 9);
  });

  test('keeps its digits for a cone that is nearly a cylinder', () => {
    const sections = [{ front: 0.5e-3, rear: 0.5e-3 * (1 + 1e-12), length: 0.01 }];
    expect(yieldHold({ yieldStress: 10, sections })).toBeCloseTo(800, 7);
  });

  test.each([
    { height: -1 },
    { density: 0 },
    { surfaceTension: 0 },
    { bore: 0 },
    { contactAngle: -0.1 },
    { contactAngle: 3.2 },
    { friction: -1 },
    { yieldHold: Number.NaN },
  ])('refuses %o', bad => {
    expect(() => holdBackWindow({ ...tip, ...bad })).toThrow(DomainError);
  });
});
