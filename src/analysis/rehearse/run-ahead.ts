import { atLeast, atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { RampPlan } from '../program/ramp-shots.ts';
import type { RunAhead } from '../release/judge-syringe.ts';
import { storedProgram, type TrimmedProgram } from '../release/release-trim.ts';
import type { ShotLeft, Target } from '../release/shots-left.ts';
import type { SyringeModel } from '../release/syringe-model.ts';
import { type Program, settingAt } from '../setpoint/program-in-force.ts';

/** Programs are made for thicknesses so far apart: a quarter of a dwell step, between these [-]. */
const APART = { least: 1e-3, most: 5e-3 };

/**
 * The run ahead of every check of a rehearsal: the same shots for all, and trimmed programs that are kept. A program is made for the
 * nearest of a row of thicknesses, a quarter of a dwell step apart; the factor that is judged is the syringe's own.
 * Evidence: decisions agree with `release` on simulated readings.
 */
export function keptRunAhead(
  recipe: Recipe,
  p: { model: SyringeModel; program: Program; plan: RampPlan; target: Target },
): RunAhead & { readonly apart: number } {
  const { model, program, plan, target } = p;
  const shots: ShotLeft[] = plan.shots.map(({ shot, age, point }) => ({ shot, age, dispensed: point.dispensed }));
  const first = shots[0]!;
  const { pressure, dwell } = settingAt(program, first.shot);
  const apart = Math.min(APART.most, Math.max(APART.least, plan.limits.step / dwell / 4));
  const wanted = { pressure, volume: target.aim };
  const exactOf = (thickness: number, moment: ShotLeft) => model.dwellFor(thickness, moment, wanted);
  const kept = new Map<number, Pick<TrimmedProgram, 'program' | 'shots' | 'end'> | null>();
  const make = (thickness: number) => {
    const run: { shot: number; exact: number; error: (dwell: number) => number }[] = [];
    for (const moment of shots) {
      const exact = exactOf(thickness, moment);
      if (exact === null || !atLeast(exact, plan.limits.min) || !atMost(exact, plan.limits.max)) break;
      const volume = model.overDwell(thickness, moment, pressure);
      run.push({ shot: moment.shot, exact, error: dwell => volume(dwell) / target.aim - 1 });
    }
    if (run.length === 0) return null;
    const made = storedProgram(recipe, program, { ...plan, shots: run });
    if (made === null) return null;
    const whole = run.length === shots.length;
    const last = shots[run.length - 1]!;
    const end = whole ? plan.end : { reason: 'dwell' as const, shot: last.shot, age: last.age };
    return { program: made, shots: whole ? shots : shots.slice(0, run.length), end };
  };
  return {
    ...{ stop: [], shots, apart },
    trimmed: thickness => {
      const key = Math.round(Math.log(thickness) / apart);
      let known = kept.get(key);
      if (known === undefined) {
        known = make(Math.exp(key * apart));
        kept.set(key, known);
      }
      const exact = exactOf(thickness, first);
      return known === null || exact === null ? null : { ...known, factor: exact / dwell };
    },
  };
}
