import type { Ends } from '../schema/fields.ts';
import type { Leaf } from '../schema/leaf.ts';
import type { Deviation, Per, Quantity, Section, Tolerance } from '../schema/recipe.ts';

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

  /** The quantity of a field that may be absent. */
  maybe(leaf: Leaf | undefined, path: string): Quantity | undefined {
    return leaf === undefined ? undefined : this.quantity(leaf, path);
  }

  /** The quantity of a field, or its default in SI. */
  or(leaf: Leaf | undefined, path: string, value: number): Quantity {
    return leaf === undefined ? { value, path, source: 'default' } : this.quantity(leaf, path);
  }

  deviation(leaf: Leaf | undefined, path: string): Deviation | undefined {
    return leaf === undefined ? undefined : { ...this.quantity(leaf, path), ...this.spread(leaf, path) };
  }

  sections(
    stack: readonly { part?: string | undefined; diameter: Ends; length: Leaf }[] | undefined,
    path: string,
  ): readonly Section[] | undefined {
    return stack?.map(({ part, diameter, length }, i) => {
      const at = `${path}[${i}]`;
      const front = this.quantity(diameter.front, diameter.cone ? `${at}.diameter[0]` : `${at}.diameter`);
      return {
        part: part ?? `part ${i + 1}`,
        front,
        rear: diameter.cone ? this.quantity(diameter.rear, `${at}.diameter[1]`) : front,
        length: this.quantity(length, `${at}.length`),
        path: at,
      };
    });
  }

  points(rows: readonly (readonly [Leaf, Leaf])[], path: string): (readonly [Quantity, Quantity])[] {
    return rows.map(
      ([a, b], i) => [this.quantity(a, `${path}[${i}][0]`), this.quantity(b, `${path}[${i}][1]`)] as const,
    );
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
