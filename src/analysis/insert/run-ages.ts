import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { ageOfShot } from '../program/shot-clock.ts';
import { programRun } from '../ramp/program-run.ts';

/** Ages of the resin at the first and at the last shot of a syringe [s]. */
export interface RunAges {
  readonly first: number;
  /** Null where no run of the program in force can be worked out. */
  readonly last: number | null;
}

/** When the program in force makes its first and its last shot; what keeps it from having a last one is said as a warning. */
export function runAges(recipe: Recipe): Outcome<RunAges> & { readonly result: RunAges } {
  const first = ageOfShot(recipe, 1);
  const { result: run, findings } = programRun(recipe);
  const warnings: Finding[] = findings.map(f => ({ ...f, severity: 'warning' }));
  return { result: { first, last: run?.end?.age ?? null }, findings: run === null ? warnings : [] };
}
