import { describe, expect, it } from 'vitest';
import { type CardResult, card } from '../../../src/analysis/card/card.ts';
import { cardSyringe } from '../../../src/analysis/card/card-syringe.ts';
import { resinDot } from '../../../src/analysis/dot/dot.ts';
import { readDot } from '../../../src/analysis/dot/read-dot.ts';
import { spreadingViscosity } from '../../../src/analysis/dot/spreading-resin.ts';
import type { LoggedCheck } from '../../../src/analysis/follow/logged-release.ts';
import { rampPlan } from '../../../src/analysis/program/ramp-shots.ts';
import { release } from '../../../src/analysis/release/release.ts';
import { syringeModel } from '../../../src/analysis/release/syringe-model.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const recipe = exampleRecipe({
  'resin.cure': { model: 'pot-life', time: 3600, factor: 2, activation_energy: 60e3 },
  'settings.dwell': 0.52,
  'settings.ramp': [{ from_shot: 1, add: 0.03, every: 7 }],
});
const SHOT = 13;
const AGE = 720 + 40 * (SHOT - 1);
const TEMPERATURE = 295.65; // half a kelvin below that of the recipe
const model = syringeModel(recipe, { temperature: TEMPERATURE }).result!;

/** A syringe that is a fifth too thick, weighed at shot 13, and what release made of it. */
function checked(decisionOf: Partial<LoggedCheck> = {}) {
  const dwell = 0.55;
  const dispensed = (3 + SHOT - 1) * 1.85e-9;
  const volume = model.deliver(1.2, { age: AGE, dispensed }, { pressure: 210e3, dwell });
  const masses = [0.998, 1, 1.002].map(f => 5 * 1150 * volume * f);
  const how = { masses, shots: 5, lastDigit: 1e-9, shot: SHOT, age: AGE, temperature: TEMPERATURE };
  const { result } = release(recipe, how);
  const stages = result!.program!.stages.map(s => ({
    ...{ fromShot: s.from_shot, first: s.first_dwell_s },
    ...{ add: s.add_s, every: s.every },
  }));
  const logged: LoggedCheck = {
    ...{ line: 2, at: '2026-03-02T06:40:00Z', time: 0, syringe: 'S-7', lot: 'L-1', needle: '', operator: 'AB' },
    ...{ decision: result!.decision, kind: 'masses', readings: masses, lastDigit: 1e-9, shotsPerReading: 5 },
    ...{ pressure: 210e3, dwell, age: AGE, temperature: TEMPERATURE, shot: SHOT, program: stages },
    readingError: null,
    ...decisionOf,
  };
  return { released: result!, logged };
}

function cardOf(logged: LoggedCheck, gridTemperatures?: readonly number[]): CardResult {
  const { result: syringe, findings } = cardSyringe(recipe, [logged], 'S-7');
  if (syringe === null) throw new Error(JSON.stringify(findings));
  return card(recipe, { syringe, gridTemperatures }).result!;
}

describe('the card of one syringe', () => {
  const { released, logged } = checked();
  const made = cardOf(logged);

  it('has the program that release gave it, from the shot of its check to the end that release told', () => {
    expect(released.decision).toBe('use with trim');
    expect(made.settings).toBe('syringe');
    expect(made.ramp.stages).toEqual(
      released.trim!.program.stages.map(({ from_shot, first_dwell_s, add_s, every }) => ({
        ...{ from_shot, first_dwell_s, add_s, every },
      })),
    );
    expect(made.ramp.steps[0]).toMatchObject({ from_shot: SHOT, dwell_s: made.dwell_s });
    expect(made.stop).toMatchObject({ shot: released.trim!.end!.shot, reason: released.trim!.end!.reason });
    expect(made.ramp.worst_error_pct).toBeCloseTo(released.trim!.worst_error_pct, 6);
    expect(made.syringe).toMatchObject({ name: 'S-7', shot: SHOT, decision: 'use with trim', checks_before: 0 });
    expect(made.syringe!.thickness).toBeCloseTo(released.thickness!.estimate, 9);
  });

  it('has the dwells of a syringe of its thickness, by temperature and age from its check on', () => {
    const { grid } = cardOf(logged, [TEMPERATURE, TEMPERATURE + 1]);
    const of = (temperature: number) =>
      rampPlan(recipe, {
        ...{ by: 'dwell', fixed: 210e3, temperature, lotFactor: made.syringe!.thickness },
        from: { shot: SHOT, age: AGE, dispensed: 0 },
      }).result!;
    expect(grid!.ages_min[0]).toBe(20);
    for (const [i, temperature] of [TEMPERATURE, TEMPERATURE + 1].entries()) {
      expect(grid!.dwell_s[i]![0]).toBeCloseTo(Math.round(of(temperature).shots[0]!.exact * 100) / 100, 9);
    }
    // A warmer syringe flows more: Arrhenius.
    expect(grid!.dwell_s[1]![0]!).toBeLessThan(grid!.dwell_s[0]![0]!);
  });

  it('keeps the program for dots as this syringe lays them at its next check, and not for others', () => {
    expect(made.checks.length).toBe(3);
    expect(made.trims_at_shot).toBe(made.checks[0]!.shot);
    const at = made.shots.find(({ shot }) => shot === made.trims_at_shot)!;
    const moment = { age: at.age_min * 60, dispensed: 0 }; // ideal air: whatever was dispensed
    const volume = model.deliver(made.syringe!.thickness, moment, { pressure: 210e3, dwell: at.dwell_s });
    const viscosity = spreadingViscosity(recipe, { age: moment.age, temperature: TEMPERATURE })!;
    const across = readDot(recipe, resinDot(recipe).result!, viscosity).diameter(made.dot!.shots_per_circle * volume);
    const nearest = (diameter: number) =>
      made.trims.reduce((a, b) => (Math.abs(b.diameter_mm - diameter) < Math.abs(a.diameter_mm - diameter) ? b : a));
    expect(nearest(across * 1e3)).toMatchObject({ action: 'keep', dwell_s: at.dwell_s });
    expect(nearest(across * 1e3 * 0.92).dwell_s!).toBeGreaterThan(at.dwell_s);
    expect(nearest(across * 1e3 * 1.08).dwell_s!).toBeLessThan(at.dwell_s);
  });

  it('counts the checks before of its lot, as release does', () => {
    const before = { ...checked().logged, syringe: 'S-6', needle: 'S-6', time: -3600, line: 1 };
    const { result } = cardSyringe(recipe, [before, { ...logged, needle: 'S-7' }], 'S-7');
    expect(result!.keys.checks_before).toBe(1);
  });

  it('is that of the last check of the syringe', () => {
    const later = { ...logged, time: 60, line: 3 };
    expect(cardSyringe(recipe, [later, logged], 'S-7').result!.keys.line).toBe(3);
  });

  it.each([
    ['a syringe that is not in the log', {}, 'S-8', /no check of syringe S-8/],
    ['one that was rejected', { decision: 'reject' }, 'S-7', /rejected it/],
    ['one whose program was not written', { program: null }, 'S-7', /which program/],
    ['one that these readings do not release', { readings: [1e-6, 1e-6, 1e-6] }, 'S-7', /does not release it/],
  ])('is refused for %s', (_, change, name, message) => {
    const { result, findings } = cardSyringe(recipe, [{ ...logged, ...change }], name);
    expect(result).toBeNull();
    expect(findings[0]!.code).toMatch(/card-syringe|release-reading/);
    if (findings[0]!.code === 'card-syringe') expect(findings[0]!.message).toMatch(message);
  });
});
