import { clockText } from '../batch/clock-text.ts';

/** A run of shots with one dwell. */
export interface CardStep {
  readonly from_shot: number;
  readonly to_shot: number;
  readonly dwell_s: number;
  readonly from_age_min: number;
  readonly to_age_min: number;
  /** When its first shot is due; null where the time of mixing is not given. */
  readonly at: string | null;
}

/** Shots with age [s] and dwell [s], gathered where the dwell stays the same. */
export function cardSteps(
  shots: readonly { readonly shot: number; readonly age: number; readonly dwell: number }[],
  mixedAt: number | undefined,
): CardStep[] {
  const steps: CardStep[] = [];
  for (const { shot, age, dwell } of shots) {
    const last = steps.at(-1);
    if (last !== undefined && last.dwell_s === dwell) {
      steps[steps.length - 1] = { ...last, to_shot: shot, to_age_min: age / 60 };
      continue;
    }
    const at = mixedAt === undefined ? null : clockText(mixedAt + age);
    steps.push({ from_shot: shot, to_shot: shot, dwell_s: dwell, from_age_min: age / 60, to_age_min: age / 60, at });
  }
  return steps;
}
