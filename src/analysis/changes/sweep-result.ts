import type { ResultValue } from './recipe-results.ts';

export interface SweepResult {
  readonly grid: readonly {
    readonly path: string;
    /** Of the values; null for plain numbers and words. */
    readonly unit: string | null;
    readonly spacing: 'linear' | 'log' | 'list';
    readonly values: readonly (number | string)[];
  }[];
  /** Keys of results. */
  readonly take: readonly string[];
  /** The last axis runs fastest. */
  readonly points: readonly {
    readonly values: readonly (number | string)[];
    /** In the order of `take`; null where it cannot be computed or does not apply. */
    readonly results: readonly ResultValue[];
    /** How many findings the point has; `check --set` shows them. */
    readonly diagnostics: number;
  }[];
  /** Points at which a result could not be computed. */
  readonly failed: number;
}
