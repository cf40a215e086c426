import { OUT } from '../inputs/connector-window.ts';

/** What makes the margin of a connector differ from zero, in the order in which it is told. */
export const CAUSES = [
  'connector and cable',
  'shot to shot',
  'reading of the check',
  'thickness left untrimmed',
  'program and dwell step',
  'drift within the syringe',
] as const;

export type Cause = (typeof CAUSES)[number];

/** The volumes of one connector [m³], each step one cause away from the one before. */
export interface ConnectorVolumes {
  /** The backfill that the recipe's connector wants, and what the models give the program: thickness 1, as read, as it is. */
  readonly aim: number;
  readonly asRecipe: number;
  readonly asRead: number;
  readonly asThick: number;
  /** What the syringe gives without what differs from shot to shot, and what it gave. */
  readonly still: number;
  readonly shot: number;
}

/** The sums of a tally as plain data. */
export type TallySums = Readonly<Record<(typeof SUMS)[number], number>> & {
  readonly parts: readonly number[];
  readonly products: readonly number[];
};

const SUMS = ['connectors', 'outside', 'tooLittle', 'tooMuch', 'shots', 'margins', 'squares', 'low', 'high'] as const;

/** Sums over the connectors of a rehearsal; volumes over the recipe's aim, so that they are near one. */
export class RunTally {
  connectors = 0;
  outside = 0;
  tooLittle = 0;
  tooMuch = 0;
  private shots = 0;
  private margins = 0;
  private squares = 0;
  private low = 0;
  private high = 0;
  private readonly parts = new Float64Array(CAUSES.length);
  private readonly products = new Float64Array(CAUSES.length);
  private readonly part = new Float64Array(CAUSES.length);

  /** `keep` takes shot and margin of every connector [m³]. */
  constructor(
    private readonly aim: number,
    private readonly keep: ((shot: number, margin: number) => void) | null,
  ) {}

  /** One connector in its window; whether it is outside. */
  add(v: ConnectorVolumes, trimmed: boolean, window: Float64Array): boolean {
    const { aim, part, parts, products } = this;
    const margin = (v.shot - window[OUT.aim]!) / aim;
    part[0] = (v.aim - window[OUT.aim]!) / aim;
    part[1] = (v.shot - v.still) / aim;
    part[2] = (v.asThick - v.asRead) / aim;
    // A trimmed program is made for the thickness that was read, any other for that of the recipe.
    part[3] = trimmed ? 0 : (v.asRead - v.asRecipe) / aim;
    part[4] = ((trimmed ? v.asRead : v.asRecipe) - v.aim) / aim;
    part[5] = (v.still - v.asThick) / aim;
    for (let k = 0; k < part.length; k++) {
      parts[k]! += part[k]!;
      products[k]! += part[k]! * margin;
    }
    this.connectors++;
    this.shots += v.shot / aim;
    this.margins += margin;
    this.squares += margin * margin;
    this.low += (v.shot - window[OUT.min]!) / aim;
    this.high += (window[OUT.max]! - v.shot) / aim;
    this.keep?.(v.shot, v.shot - window[OUT.aim]!);
    const [below, above] = [v.shot < window[OUT.min]!, v.shot > window[OUT.max]!];
    if (below) this.tooLittle++;
    if (above) this.tooMuch++;
    if (below || above) this.outside++;
    return below || above;
  }

  sums(): TallySums {
    const { connectors, outside, tooLittle, tooMuch, shots, margins, squares, low, high } = this;
    const counts = { connectors, outside, tooLittle, tooMuch };
    return { ...counts, shots, margins, squares, low, high, parts: [...this.parts], products: [...this.products] };
  }

  /** Counts the connectors of another tally of the same aim too. */
  addSums(other: TallySums): void {
    for (const name of SUMS) this[name] += other[name];
    for (let k = 0; k < CAUSES.length; k++) {
      this.parts[k]! += other.parts[k]!;
      this.products[k]! += other.products[k]!;
    }
  }

  /** Mean shot [m³], mean and standard deviation of the margin [m³], and mean margins to the ends of the window [m³]. */
  moments() {
    const n = this.connectors;
    const mean = this.margins / n;
    return {
      shot: (this.shots / n) * this.aim,
      margin: mean * this.aim,
      sd: Math.sqrt(Math.max(0, (this.squares - n * mean * mean) / (n - 1))) * this.aim,
      low: (this.low / n) * this.aim,
      high: (this.high / n) * this.aim,
    };
  }

  /**
   * Share of each cause in the variance of the margin [-], which add up to one: its covariance with the margin over that variance. A
   * cause that works against the others has a share below zero.
   */
  shares(): readonly { readonly cause: Cause; readonly share: number }[] {
    const n = this.connectors;
    const variance = this.squares - this.margins ** 2 / n;
    return CAUSES.map((cause, k) => ({
      cause,
      share: variance > 0 ? (this.products[k]! - (this.parts[k]! * this.margins) / n) / variance : 0,
    }));
  }
}
