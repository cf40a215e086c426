import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Conditions } from '../delivery/operating-point.ts';
import type { ResinDot } from '../dot/dot.ts';
import type { LevelChoice, Levels } from './trials-levels.ts';
import type { DesignInformation, TrialCell, TrialParameter } from './trials-precision.ts';
import type { PlannedRun } from './trials-runs.ts';

export const TRIALS_DEFAULTS = {
  seed: 1,
  pressures: 3,
  dwells: 3,
  /** Shots weighed together. */
  shots: 5,
  /** Wanted relative half-width of the viscosity factor [-]. */
  confidence: 0.05,
  /** From one weighing to the next [s]. */
  pace: 60,
  /** Two weighings of a setting at the least, so that the fit can tell scatter from a wrong model. */
  leastReplicates: 2,
  mostReplicates: 20,
  /** Shot to shot, where the recipe says nothing of its station [-]; *common practice, no source*. */
  repeatability: 0.02,
} as const;

/** How a shot is measured: weighed, or by the dot that it leaves. */
export type TrialReading = 'mass' | 'diameter';

export interface TrialsOptions extends Pick<Conditions, 'temperature' | 'lotFactor'> {
  readonly seed?: number;
  /** How many, or which [Pa]. */
  readonly pressures?: LevelChoice;
  /** How many, or which [s]. */
  readonly dwells?: LevelChoice;
  /** Ages at which blocks begin [s]; default `process.ready_after` alone. */
  readonly ages?: readonly number[];
  /** Weighings of each setting in each block; default: as many as the wanted confidence takes. */
  readonly replicates?: number;
  /** Default: by mass. */
  readonly by?: TrialReading;
  /** Shots on one weighing or one dot. */
  readonly shots?: number;
  /** Wanted half-widths of the 95 % intervals: of the viscosity factor [-], of the pressure offset [Pa]. */
  readonly confidence?: number;
  readonly offsetConfidence?: number;
  /** Relative standard deviation from shot to shot [-]; default: what the station's accuracy and jitter make. */
  readonly repeatability?: number;
  /** Smallest step of the balance [kg]. */
  readonly readability?: number;
  /** Half-width of a misread dot [m]; default `resin.dot.reading_error`. */
  readonly readingError?: number;
  /** From one weighing to the next [s]. */
  readonly pace?: number;
}

/** One weighing or dot of a run sheet. */
export interface TrialRunKeys {
  /** From 1, in the order in which they are made. */
  readonly run: number;
  /** From 1; runs of one block are made about one age. */
  readonly block: number;
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  /** As planned: the age at which the block begins and the time its earlier runs take. */
  readonly age_min: number;
  readonly shots: number;
  /** Of one shot, by the recipe at that age. */
  readonly expected_uL: number;
  /** Of the weighing or dot. */
  readonly expected_mg: number;
  /** Of the dot, as seen from above; null in a trial by mass. */
  readonly expected_mm: number | null;
}

export interface TrialsResult {
  readonly seed: number;
  readonly pressures_kPa: readonly number[];
  readonly dwells_s: readonly number[];
  readonly ages_min: readonly number[];
  readonly replicates: number;
  readonly by: TrialReading;
  /** On one weighing, or on one dot. */
  readonly shots_per_weighing: number;
  readonly runs: readonly TrialRunKeys[];
  /** Assumed from shot to shot; the mean over the settings where the recipe predicts it. */
  readonly repeatability_rel: number;
  readonly repeatability_from: 'recipe' | 'given' | 'assumed';
  /** What a fit of these runs will know; null for a parameter that the runs cannot move. */
  readonly precision: readonly {
    readonly name: TrialParameter;
    readonly standard_error: number | null;
    /** Of the 95 % interval. */
    readonly half_width: number | null;
    readonly wanted: number | null;
    readonly reached: boolean | null;
  }[];
  readonly correlation: readonly (readonly (number | null)[])[];
  readonly can_tell: readonly string[];
  readonly cannot_tell: readonly string[];
  readonly resin_mL: number;
  readonly syringes: number | null;
  readonly duration_min: number;
  readonly table: string | null;
  readonly sheet: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** What scatters from shot to shot. */
export interface Scatter {
  readonly from: TrialsResult['repeatability_from'];
  /** Relative, from shot to shot at a setting [-]. */
  at(setting: { pressure: number; dwell: number }): number;
}

/** A trial as it was worked out; SI. */
export interface Plan {
  readonly recipe: Recipe;
  readonly options: TrialsOptions;
  readonly ages: readonly number[];
  readonly levels: Levels;
  readonly cells: readonly TrialCell[];
  readonly design: DesignInformation;
  readonly replicates: number;
  readonly scatter: Scatter;
  readonly dot: ResinDot | null;
  readonly runs: readonly PlannedRun[];
  /** What leaves the needle, prime included [m³]. */
  readonly resin: number;
}

/** Counts and times of a trial, by default where they are not given. */
export function amounts(options: TrialsOptions) {
  const { seed, shots, pace } = { ...TRIALS_DEFAULTS, ...options };
  return { seed, shots, pace };
}
