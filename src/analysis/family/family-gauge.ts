import { shortened } from '../../diagnostics/number-words.ts';
import { type PlannedGauge, plannedGauge } from '../dot/gauge.ts';
import type { Paper } from '../dot/gauge-grid.ts';
import { gridFor } from '../dot/gauge-plan.ts';
import type { FittedMember } from './family-needle.ts';

/** One ring of the scale: what all shots on a circle together hold when their dot reaches it. */
export interface ScaleRing {
  readonly volume_uL: number;
  readonly diameter_mm: number;
}

/** Between which marks of the scale the dot of a member has to end, all its shots on one circle. */
export interface ScaleMark {
  readonly recipe: string;
  readonly min_uL: number;
  readonly aim_uL: number;
  readonly max_uL: number;
  readonly min_mm: number;
  readonly aim_mm: number;
  readonly max_mm: number;
}

/** One dot gauge for a family: a scale in µL, and each member's place on it. */
export interface FamilyGauge {
  readonly paper: Paper;
  readonly shots_per_circle: number;
  readonly rings: readonly ScaleRing[];
  readonly marks: readonly ScaleMark[];
  readonly read_after_s: number | null;
  readonly surface: string | null;
  /** What a misreading by the reading error is in volume, at the smallest aim. */
  readonly reading_error_pct: number;
  readonly reading_error_mm: number;
}

/** The scale, or why there is none; and by how much two members would read the same dot differently [-]. */
export type GaugeScale =
  | { readonly gauge: FamilyGauge; readonly apart: number }
  | { readonly gauge: null; readonly because: string };

/** Rings closer than this to each other cannot be told apart, drawn as wide as a light copy asks for [m of radius]. */
const LEAST_GAP = 0.35e-3;
/** More rings than this nobody reads. */
const MOST_RINGS = 12;

/**
 * The dot gauge of members that share a resin: rings at round volumes, so that one sheet serves them all. As many shots on a circle
 * as the member needs whose dots are hardest to read, as far as the paper holds them.
 */
export function gaugeScale(members: readonly FittedMember[], paper: Paper): GaugeScale {
  const plans: PlannedGauge[] = [];
  for (const { recipe, member } of members) {
    const { result, findings } = plannedGauge(recipe, { paper });
    if (result === null) {
      const error = findings.find(({ severity }) => severity === 'error');
      return { gauge: null, because: `${recipe.name ?? member.file}: ${error?.message ?? 'it has no gauge'}` };
    }
    plans.push(result);
  }
  let shots = Math.max(...plans.map(plan => plan.shots));
  while (shots > 1 && plans.some(({ plan }) => gridFor(plan, shots) === null)) shots--;
  const [first] = plans;
  const { read } = first!.plan;
  const marks = plans.map(({ plan: { window } }, i): ScaleMark => {
    const at = (volume: number) => ({ uL: shots * volume * 1e9, mm: read.diameter(shots * volume) * 1e3 });
    const [min, aim, max] = [at(window.min), at(window.aim), at(window.max)];
    return {
      recipe: members[i]!.member.file,
      ...{ min_uL: min.uL, aim_uL: aim.uL, max_uL: max.uL, min_mm: min.mm, aim_mm: aim.mm, max_mm: max.mm },
    };
  });
  const windows = marks.map(({ min_uL, max_uL }) => [min_uL, max_uL] as const);
  const rings = ringVolumes(windows, volume => read.diameter(volume * 1e-9)).map(volume => ({
    volume_uL: volume,
    diameter_mm: read.diameter(volume * 1e-9) * 1e3,
  }));
  const least = Math.min(...plans.map(({ plan }) => plan.window.aim)) * shots;
  const dot = members[0]!.recipe.resin?.dot;
  const gauge: FamilyGauge = {
    ...{ paper, shots_per_circle: shots, rings, marks },
    read_after_s: dot?.read_after?.value ?? null,
    surface: dot?.surface ?? null,
    reading_error_pct: read.misreading(least) * 100,
    reading_error_mm: first!.plan.dot.readingError * 1e3,
  };
  return { gauge, apart: readApart(plans, shots) };
}

/** Round numbers of a decade, each row coarser than the one before: the roundings of the Renard series of ISO 3 in our choice. */
const DECADES = [
  [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8],
  [1, 1.5, 2.5, 4, 6],
  [1, 2, 5],
] as const;

/** A window of volumes [µL] that dots have to end in. */
type Window = readonly [least: number, greatest: number];

/**
 * Volumes [µL] of the rings, from below the least window to above the greatest, evenly spaced or by round numbers of a decade: of
 * the scales that can be read, the one on which the window with the fewest rings has most, then the one with most rings.
 */
export function ringVolumes(windows: readonly Window[], diameterOf: (volume: number) => number): number[] {
  const least = Math.min(...windows.map(([low]) => low));
  const greatest = Math.max(...windows.map(([, high]) => high));
  const readable = (volumes: readonly number[]) =>
    volumes.every((v, i) => i === 0 || (diameterOf(v) - diameterOf(volumes[i - 1]!)) / 2 >= LEAST_GAP);
  const scales = [
    ...evenScales(least, greatest),
    ...DECADES.map(decade => decadeScale(decade, least, greatest)),
  ].filter(volumes => volumes.length <= MOST_RINGS && readable(volumes));
  const fewest = (volumes: readonly number[]) =>
    Math.min(...windows.map(([low, high]) => volumes.filter(v => v >= low && v <= high).length));
  scales.sort((a, b) => fewest(b) - fewest(a) || b.length - a.length);
  return scales[0] ?? [shortened(least, 2), shortened(greatest, 2)];
}

/** Scales of even steps of 1, 2 or 5 times a power of ten. */
function evenScales(least: number, greatest: number): number[][] {
  const first = Math.floor(Math.log10(greatest)) - 2;
  return [first, first + 1, first + 2].flatMap(power =>
    [1, 2, 5].map(digit => {
      const step = digit * 10 ** power;
      const from = Math.max(1, Math.floor(least / step + 1e-9));
      const count = Math.max(0, Math.ceil(greatest / step - 1e-9) - from) + 1;
      return Array.from({ length: Math.min(count, MOST_RINGS + 1) }, (_, i) => shortened((from + i) * step, 12));
    }),
  );
}

function decadeScale(decade: readonly number[], least: number, greatest: number): number[] {
  const first = Math.floor(Math.log10(least)) - 1;
  const last = Math.ceil(Math.log10(greatest)) + 1;
  const all = Array.from({ length: last - first + 1 }, (_, k) =>
    decade.map(digit => shortened(digit * 10 ** (first + k), 12)),
  ).flat();
  const from = all.findLastIndex(v => v <= least * (1 + 1e-9));
  const to = all.findIndex(v => v >= greatest * (1 - 1e-9));
  return all.slice(from, to + 1);
}

/** The greatest relative difference between the diameters that members read for the same volume [-]. */
function readApart(plans: readonly PlannedGauge[], shots: number): number {
  const [first] = plans;
  const differences = plans.map(({ plan }) => {
    const volume = shots * plan.window.aim;
    return Math.abs(plan.read.diameter(volume) / first!.plan.read.diameter(volume) - 1);
  });
  return Math.max(...differences);
}
