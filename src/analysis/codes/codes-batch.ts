import type { CodeText } from '../../diagnostics/finding.ts';
import { type Finding, finding } from '../../diagnostics/finding.ts';

/** The codes of batch and setup card; `explain` prints them. */
export const batchCodes = {
  'batch-option': {
    severity: 'error',
    title: 'An option of the batch cannot be',
    why: 'Counts start at 1, shares lie below one, and working hours may not overlap: a schedule needs to know who works when.',
    remedy: 'Correct the option that the message names.',
  },
  'batch-syringe-small': {
    severity: 'error',
    title: 'A filled syringe does not hold one connector',
    why: 'What is left over and what primes the needle come off the fill first.',
    remedy: 'Fill more, leave less over, or prime with fewer shots.',
  },
  'batch-kit-small': {
    severity: 'error',
    title: 'A kit does not fill a syringe for one connector',
    why: 'Mixing leaves part of every kit behind; what remains has to prime the needle and fill a connector.',
    remedy: 'Mix a larger kit, or lose less of it.',
  },
  'batch-no-time': {
    severity: 'error',
    title: 'No kit is ever ready to use in the working hours',
    why: 'A kit is mixed in working hours, waits `process.ready_after`, and has to be used inside the working hours before its pot life ends.',
    remedy: 'Widen the shifts, or mix a resin that is ready sooner or lives longer.',
  },
  'card-option': {
    severity: 'error',
    title: 'An option of the card cannot be',
    why: 'Dots are counted from 1.',
    remedy: 'Correct the option that the message names.',
  },
  'card-not-released': {
    severity: 'warning',
    title: 'The card shows settings that nobody has released',
    why: 'The recipe has no complete `settings`, so pressure, dwell or ramp are computed. A computed setting is a starting point, to be proved on scrap connectors.',
    remedy: 'Prove the settings and write them into `settings` (`setpoint --write`), then make the card again.',
  },
  'card-out-of-tolerance': {
    severity: 'warning',
    title: 'The settings leave the tolerance before the run ends',
    why: 'From the shot named on, the program in force misses the aim by more than the tolerance; the card ends the run before it.',
    remedy: 'Release the ramp that `dwellbook ramp` computes, or stop earlier.',
  },
  'card-no-dot': {
    severity: 'warning',
    title: 'The card has no dot to check against',
    why: 'The rings of the first-piece check cannot be worked out, or are too large for the card, so that the first piece has to be weighed.',
    remedy: 'Add what the message names, or check against a gauge sheet or a balance.',
  },
  'card-steps-summarised': {
    severity: 'warning',
    title: 'The card does not show every step of the ramp',
    why: 'In figures that can be read at arm’s length the table has more rows than the page. The card gives the program, and its first and last steps.',
    remedy: 'Set the program at the station, or release a ramp with a larger `every`.',
  },
} as const satisfies Record<string, CodeText>;

export type BatchCode = keyof typeof batchCodes;

/** A finding of one of these codes; `help` says something more to the point than the remedy where it can. */
export function batchFinding(code: BatchCode, path: string | null, message: string, help?: string): Finding {
  const text = batchCodes[code];
  return finding(text.severity, code, path, message, help ?? text.remedy);
}
