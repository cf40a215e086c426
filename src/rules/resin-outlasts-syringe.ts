import { byCheck } from '../diagnostics/codes/coded.ts';
import { inMinutes } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';

/** Share of the resin's usable time that must be used [-]; common practice, no source. */
const LEAST_USE = 0.5;

export const resinOutlastsSyringe = rule(
  'resin-outlasts-syringe',
  byCheck.warning(
    'The syringe is empty long before the resin is too old',
    'Every new syringe costs a needle, its prime and a release, though the resin would have lasted for more than twice the shots.',
    'Fill more, where the barrel and the hold-back allow it.',
  ),
  ({ recipe, run, delivery }, say) => {
    const syringe = recipe.station?.syringe;
    if (syringe === undefined || run === null || run.end.reason !== 'syringe') return [];
    const start = recipe.process?.ready_after.value ?? 0;
    const last = lastUsableAge(recipe.process?.stop_at, delivery.result?.course);
    const used = run.end.age - start;
    if (last === null || !(last > start) || used >= LEAST_USE * (last - start)) return [];
    const message = `the syringe is empty after ${run.end.shot} shots, at ${inMinutes(run.end.age)}; the resin may be used until ${inMinutes(last)}`;
    return [say(syringe.fill.path, message)];
  },
);

interface Stop {
  readonly viscosity_factor?: { readonly value: number };
  readonly age?: { readonly value: number };
}
interface Course {
  readonly lastAge: number | null;
  readonly cure: { ageAtFactor(factor: number): number | null };
}

/** The earliest age at which the recipe stops for the resin's sake [s], or null where it never does. */
function lastUsableAge(stop: Stop | undefined, course: Course | undefined): number | null {
  const factor = stop?.viscosity_factor?.value;
  const ages = [
    stop?.age?.value ?? null,
    course?.lastAge ?? null,
    factor === undefined ? null : (course?.cure.ageAtFactor(factor) ?? null),
  ].filter(age => age !== null);
  return ages.length === 0 ? null : Math.min(...ages);
}
