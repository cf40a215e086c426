import { circleMiddle, gaugeGrid } from '../../../src/analysis/dot/gauge-grid.ts';
import { type ScanDotsResult, wholeScan } from '../../../src/analysis/scan/scan-dots.ts';
import type { RandomSource } from '../../../src/numeric/random.ts';
import { takenPicture } from './distorted-page.ts';
import { type Page, randomTaken, withoutCorner } from './distortions.ts';
import { type DrawnDot, withDots } from './drawn-dots.ts';

/** Rings of the page that is distorted [mm]; circles enough that some stay free. */
export const RINGS = [5.06, 6.13, 6.94];
const CIRCLES = 20;
const DOTS = 3;

/** What a random picture of a page was read as, beside how it was made; errors over what the reading says that it may be off by. */
export interface DistortedReading {
  readonly found: boolean;
  /** Errors of the scales: relative, and over the stated doubt; null where they were left open. */
  readonly scale: { readonly relative: number; readonly overDoubt: number } | null;
  /** The same of each dot that was read. */
  readonly dots: readonly { readonly relative: number; readonly overDoubt: number }[];
  readonly left: number;
  readonly words: string;
}

/** A picture drawn at random, with three dots on circles drawn at random, and every third without one corner of the sheet. */
export function distortedReading(page: Page, random: RandomSource, dpi: readonly [number, number]): DistortedReading {
  const drawn = randomTaken(random, { dpi });
  const cut = random.uniform() < 1 / 3 ? withoutCorner(drawn, page, Math.floor(4 * random.uniform())) : null;
  const taken = cut ?? drawn;
  const grid = gaugeGrid({ paper: 'a4', width: RINGS[2]! / 1000, height: RINGS[2]! / 1000 })!;
  const truth = new Map<number, number>();
  const dots = Array.from({ length: DOTS }, (_, i): DrawnDot => {
    const circle = 1 + 6 * i + Math.floor(6 * random.uniform());
    const { x, y } = circleMiddle(grid, circle - 1);
    const size = 3 + 5 * random.uniform();
    truth.set(circle, size);
    const aside = () => 0.5 * (random.uniform() - 0.5);
    const darkness = 0.35 + 0.5 * random.uniform();
    return { x: x * 1000 + aside(), y: y * 1000 + aside(), across: size, down: size, darkness, kind: 'opaque' };
  });
  const picture = takenPicture(withDots(page.page, page.dpi, dots), page.dpi, taken, random, 2);
  const { result, findings } = wholeScan({ ...picture, density: null }, { dpi: taken.dpi, dots: true });
  const whole = result ?? wholeScan({ ...picture, density: null }, { dpi: taken.dpi }).result;
  const words = `${JSON.stringify(taken)}: ${findings.map(f => f.message).join('; ')}`;
  if (whole === null) return { found: false, scale: null, dots: [], left: DOTS, words };
  const { scale_x, scale_y, scale_error_pct, ruler } = whole.result;
  const off = [
    [scale_x, taken.scaleX],
    [scale_y, taken.scaleY],
  ].flatMap(([seen, true_]) => (seen == null ? [] : [Math.abs(seen / true_! - 1)]));
  const worst = off.length === 0 ? null : Math.max(...off);
  // By the sheet as a ruler a dot is as it was laid on it; by the resolution it has grown with the print.
  const grown = ruler === 'sheet' ? 1 : Math.sqrt(taken.scaleX * taken.scaleY);
  const seen = result === null ? [] : (result.result as ScanDotsResult).dots;
  return {
    found: true,
    scale: worst === null ? null : { relative: worst, overDoubt: worst / (scale_error_pct! / 100) },
    dots: seen.map(d => {
      const due = (truth.get(d.circle) ?? Number.NaN) * grown;
      const error = Math.abs(d.diameter_mm - due);
      return { relative: error / due, overDoubt: error / ((d.high_mm - d.low_mm) / 2) };
    }),
    left: DOTS - seen.length,
    words,
  };
}

export const GAUGE = { circles: CIRCLES } as const;
