import type { Leaf } from './leaf.ts';
import type { Deviation, Per, Quantity, Tolerance } from './quantity.ts';

/** What a deviation is common to unless it says so itself. */
const PER_BY_BLOCK: Readonly<Record<string, Per>> = {
  connector: 'connector',
  needle: 'needle',
  resin: 'lot',
  station: 'shot',
  process: 'syringe',
  settings: 'shot',
  calibration: 'lot',
};

/** Standard deviations in the half-width of a normal tolerance that does not say. */
const DEFAULT_COVERAGE = 2;

/** Turns leaves into quantities: path, source, and the defaults of a tolerance by its place and kind. */
export class BuildContext {
  /** Paths are texts, `connector.cavity[1].diameter`; `sourceOf` says where the value at one came from. */
  constructor(private readonly sourceOf: (path: string) => string) {}

  quantity(leaf: Leaf, path: string): Quantity {
    const { value, halfWidth } = leaf;
    const source = this.sourceOf(path);
    if (halfWidth === null) return { value, path, source };
    const { distribution, coverage, per } = this.spread(leaf, path);
    return { value, path, source, tolerance: { halfWidth, distribution, coverage, per } };
  }

  deviation(leaf: Leaf, path: string): Deviation {
    const relative = leaf.kind === 'percentage' && { relative: true as const };
    return { ...this.quantity(leaf, path), ...this.spread(leaf, path), ...relative };
  }

  private spread(leaf: Leaf, path: string): Omit<Tolerance, 'halfWidth'> {
    const usual = leaf.coverage === null && leaf.kind === 'length' ? 'uniform' : 'normal';
    return {
      distribution: leaf.distribution ?? usual,
      coverage: leaf.coverage ?? DEFAULT_COVERAGE,
      per: leaf.per ?? PER_BY_BLOCK[/^\w+/.exec(path)?.[0] ?? ''] ?? 'shot',
    };
  }
}

/** Of what the format fills in. */
export const BY_DEFAULT = new BuildContext(() => 'default');
