import type { ProgramStage } from '../program/program-stages.ts';

/** One check as the log has it; SI. */
export interface LoggedCheck {
  /** Line of the log. */
  readonly line: number;
  /** As written, and in seconds since an epoch. */
  readonly at: string;
  readonly time: number;
  /** Empty: not known, and never the same as another. */
  readonly syringe: string;
  readonly lot: string;
  readonly needle: string;
  readonly operator: string;
  readonly decision: string;
  readonly kind: 'dots' | 'masses';
  readonly readings: readonly number[];
  readonly lastDigit: number;
  /** Half-width of a misread dot [m]; null for the recipe's. */
  readonly readingError: number | null;
  /** On one dot or in one weighing. */
  readonly shotsPerReading: number;
  readonly pressure: number; // [Pa]
  readonly dwell: number; // [s]
  readonly age: number | null; // [s]
  readonly temperature: number | null; // [K]
  readonly shot: number | null;
  /** As run after the check; null where the log does not say. */
  readonly program: readonly ProgramStage[] | null;
}

/** What may be another one at a check than at the check before. */
export type ChangedPart = 'lot' | 'needle' | 'syringe';

export const CHANGED_PARTS: readonly ChangedPart[] = ['lot', 'needle', 'syringe'];

/** Which parts are others than at the check before, or not known to be the same; all of them at the first check. */
export function changedParts(
  now: Pick<LoggedCheck, ChangedPart>,
  before: Pick<LoggedCheck, ChangedPart> | null,
): ChangedPart[] {
  return CHANGED_PARTS.filter(part => before === null || now[part] === '' || now[part] !== before[part]);
}
