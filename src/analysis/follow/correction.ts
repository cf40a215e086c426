import { atMost } from '../../numeric/limits.ts';

/** A drift is followed by so much at a time [-]; *our choice, no source*: a wrong reading then does a bounded harm. */
const DRIFT_LIMIT = 0.1;

/** Share of the tolerance beyond which an error is worth a correction [-]; *our choice, no source*. */
const SHARE_OF_TOLERANCE = 1 / 4;

export interface CorrectionCase {
  /** Predicted volume over the aim less one, with the program in force, at the filtered thickness [-]. */
  readonly error: number;
  /** Dwell of the program in force [s], and the station's step of it [s]. */
  readonly dwell: number;
  readonly step: number;
  /** About the aim [-]; null where the recipe gives none. */
  readonly tolerance: number | null;
  /** Syringe, needle or lot are new at this check. */
  readonly fresh: boolean;
  /** What `release` may correct [-]. */
  readonly trimLimit: number;
  /** Dwell that would deliver the aim over the dwell of the program [-]. */
  readonly factor: number;
}

export interface Correction {
  /** Whether to set anything. */
  readonly acts: boolean;
  /** Error beyond which it does [-]. */
  readonly deadBand: number;
  /** What the dwell is to be multiplied by, within what may be corrected at a time [-]; 1 where nothing is set. */
  readonly factor: number;
  /** The correction would have been larger. */
  readonly limited: boolean;
}

/**
 * Whether a predicted error is worth a correction, and how much of it is made at a time.
 *
 *   acts where |error| > max(step/(2·dwell), tolerance/4); factor within 1 ± 10 %, or 1 ± the limit of `release` for a new syringe
 */
export function correctionOf({ error, dwell, step, tolerance, fresh, trimLimit, factor }: CorrectionCase): Correction {
  const deadBand = Math.max(step / 2 / dwell, (tolerance ?? 0) * SHARE_OF_TOLERANCE);
  if (atMost(Math.abs(error), deadBand)) return { acts: false, deadBand, factor: 1, limited: false };
  return { acts: true, deadBand, ...withinLimit(factor, fresh ? trimLimit : Math.min(DRIFT_LIMIT, trimLimit)) };
}

function withinLimit(factor: number, limit: number): { factor: number; limited: boolean } {
  if (atMost(Math.abs(factor - 1), limit)) return { factor, limited: false };
  return { factor: factor > 1 ? 1 + limit : 1 - limit, limited: true };
}
