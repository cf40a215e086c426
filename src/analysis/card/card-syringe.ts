import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { LoggedCheck } from '../follow/logged-release.ts';
import { earlierChecks, optionsOf } from '../follow/thickness-course.ts';
import type { CheckedRun } from '../ramp/program-run.ts';
import { judgedThickness } from '../release/filtered-thickness.ts';
import { judgeCheck } from '../release/judge-syringe.ts';
import { syringeCheck } from '../release/measured-syringe.ts';

/** A syringe that was released, as its last check in a log left it. */
export interface CardSyringe {
  readonly run: CheckedRun;
  readonly keys: CardSyringeKeys;
}

export interface CardSyringeKeys {
  readonly name: string;
  /** Empty where the log does not say. */
  readonly lot: string;
  readonly needle: string;
  readonly operator: string;
  /** As the log writes it. */
  readonly checked_at: string;
  /** Line of the log. */
  readonly line: number;
  readonly decision: string;
  /** From which its program runs. */
  readonly shot: number;
  readonly age_min: number;
  /** As measured; null where it was not. */
  readonly temperature_C: number | null;
  /** Over the recipe, by this check and those before of its lot or needle. */
  readonly thickness: number;
  /** Checks before that count. */
  readonly checks_before: number;
}

/**
 * The last check of a syringe, with the program that the log names and the thickness that its readings and the checks before give.
 * `checks` are those of this very recipe. A syringe that was rejected, or whose check this recipe does not release, has no card.
 */
export function cardSyringe(recipe: Recipe, checks: readonly LoggedCheck[], name: string): Outcome<CardSyringe> {
  const last = lastCheckOf(checks, name);
  if (last === null) return refused(`the log has no check of syringe ${name} with this recipe`);
  const at = `the check of syringe ${name} in line ${last.line}`;
  if (last.decision === 'reject') return refused(`${at} rejected it: it has no program`);
  if (last.program === null) return refused(`${at} does not say which program was to run: check the syringe anew`);
  const options = optionsOf(last);
  const { result: check, findings } = syringeCheck(recipe, options);
  if (check === null) return { result: null, findings };
  const before = checks.filter(other => other !== last && other.time <= last.time);
  const earlier = earlierChecks(recipe, before, { ...last, options });
  const judged = judgeCheck({ ...check, earlier });
  if (judged === null || judged.thickness === null || judged.decision === 'reject') {
    const why = judged?.reasons.map(({ text }) => text).join('; ') ?? 'no thickness gives what was measured';
    return refused(`${at} does not release it, with the log and the program as they are now: ${why}`);
  }
  const thickness = judgedThickness(judged.thickness, judged.filtered).estimate;
  const { from, temperature } = check;
  const run: CheckedRun = {
    program: { ...check.program, stages: last.program },
    ...{ from, temperature, lotFactor: (recipe.resin?.lot_factor.value ?? 1) * thickness },
  };
  const keys: CardSyringeKeys = {
    ...{ name, lot: last.lot, needle: last.needle, operator: last.operator },
    ...{ checked_at: last.at, line: last.line, decision: last.decision, shot: from.shot, age_min: from.age / 60 },
    ...{ temperature_C: temperature === undefined ? null : temperature - 273.15, thickness },
    checks_before: judged.filtered?.checks ?? 0,
  };
  return { result: { run, keys }, findings };
}

/** The last one by its time; of two at the same time the one further down. */
export function lastCheckOf<T extends Pick<LoggedCheck, 'syringe' | 'time'>>(
  checks: readonly T[],
  name: string,
): T | null {
  return checks
    .filter(({ syringe }) => syringe === name)
    .reduce<T | null>((last, check) => (last === null || check.time >= last.time ? check : last), null);
}

function refused(message: string): { result: null; findings: readonly Finding[] } {
  return { result: null, findings: [batchFinding('card-syringe', null, message)] };
}
