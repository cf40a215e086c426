import { dotFinding } from '../../diagnostics/codes/dot-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted, inWords } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import { yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { rheologyModel } from '../delivery/rheology-model.ts';
import { relaxationFindings, resinDot } from './dot.ts';
import type { Paper } from './gauge-grid.ts';
import {
  backfillWindow,
  type GaugeOptions,
  type GaugePlan,
  gaugePlan,
  gridFor,
  optionFindings,
  shotsOf,
} from './gauge-plan.ts';
import { settledAfter, spreadingFindings } from './read-dot.ts';
import { spreadingViscosity, stopAge } from './spreading-resin.ts';

export type { GaugeOptions };

export interface GaugeRing {
  readonly name: 'min' | 'aim' | 'max';
  /** Of all shots on the circle together. */
  readonly volume_uL: number;
  readonly mass_mg: number;
  /** As seen from above. */
  readonly diameter_mm: number;
}

export interface GaugeResult {
  readonly paper: Paper;
  /** Where the sheet was written; null until the command has written it. */
  readonly file: string | null;
  readonly circles: number;
  readonly shots_per_circle: number;
  readonly rings: readonly GaugeRing[];
  /** Diameters between which a dot is in the tolerance as well as in the window; outside them, but between the rings, `ok, trim`. */
  readonly ok_mm: readonly [number, number];
  readonly reading_error_mm: number;
  /** What a misreading of that much is in volume, at the aim ring. */
  readonly reading_error_pct: number;
  /** One shot alone, at the aim. */
  readonly shot: {
    readonly volume_uL: number;
    readonly mass_mg: number;
    readonly diameter_mm: number;
    readonly reading_error_pct: number;
  };
  readonly contact_angle_deg: number;
  /** Standard uncertainty, of a fitted angle or from the tolerance of a given one. */
  readonly contact_angle_uncertainty_deg: number | null;
  /** How many weighed dots the angle comes from; 0 when it is given. */
  readonly calibration_dots: number;
  readonly surface: string | null;
  readonly read_after_s: number | null;
  /** How far the aim ring is from rest when it is read, and when it would be; null where nothing is known of it. */
  readonly spreading: SpreadingKeys | null;
  readonly scale_x: number;
  readonly scale_y: number;
  /** Half-width on one shot that the number of shots is chosen for. */
  readonly tolerance_pct: number;
  readonly model: string;
  /** What the recipe does not say and was taken instead. */
  readonly defaults: readonly string[];
}

/** Of the dot in the aim ring. */
export interface SpreadingKeys {
  /** Age for which the rings are drawn. */
  readonly age_min: number;
  /** Its diameter when it is read, over the last one. */
  readonly diameter_share: number;
  /** Until it is within 1 % in diameter: shot fresh, and at the stop (null where the recipe has none). */
  readonly within_1_pct_fresh_s: number;
  readonly within_1_pct_stop_s: number | null;
}

const MICROLITRE = 1e9; // m³ to µL
const MILLIGRAM = 1e6; // kg to mg
const MILLI = 1e3; // m to mm
const PERCENT = 100;

/**
 * The gauge of a recipe: the diameters, seen from above, of the least, the wanted and the greatest backfill on a flat
 * surface, for so many shots on one circle that the reading can tell the tolerance.
 *
 * The rings are the window of the backfill, from reach.min to reach.max with the allowance: what a connector bears. The
 * tolerance of the process is narrower: it parts `ok` from `ok, trim`, and decides how many shots a circle needs.
 * Needs: connector (cavity, cable, reach), needle, resin (density, surface tension, dot).
 */
export function gauge(recipe: Recipe, options: GaugeOptions = {}): Outcome<GaugeResult> {
  const { result, findings } = plannedGauge(recipe, options);
  return { result: result === null ? null : gaugeKeys(recipe, result, options.circles), findings };
}

/** A gauge as it was worked out; SI. */
export interface PlannedGauge {
  readonly plan: GaugePlan;
  /** On one circle. */
  readonly shots: number;
  /** The largest ring, as seen from above [m]. */
  readonly largest: number;
}

/** {@link gauge} in SI. */
export function plannedGauge(recipe: Recipe, options: GaugeOptions = {}): Outcome<PlannedGauge> {
  const book = backfillWindow(recipe);
  const dot = resinDot(recipe);
  const findings = [...optionFindings(options), ...book.findings, ...dot.findings];
  if (book.result === null || dot.result === null || findings.some(f => f.code === 'gauge-option')) {
    return { result: null, findings };
  }
  const plan = gaugePlan(recipe, options, book.result, dot.result);
  const shots = shotsOf(plan, options.shots);
  findings.push(...shots.findings);
  if (shots.result === null) return { result: null, findings };
  findings.push(...circleFindings(recipe, plan, shots.result));
  if (findings.some(f => f.code === 'gauge-uncalibrated')) return { result: null, findings };
  const largest = plan.read.diameter(shots.result * plan.window.max);
  return { result: { plan, shots: shots.result, largest }, findings };
}

/** What the reader of a circle must be warned of. */
function circleFindings(recipe: Recipe, plan: GaugePlan, shots: number): Finding[] {
  const { dot, read, window, tolerance } = plan;
  const out: Finding[] = [];
  const rheology = recipe.resin?.rheology;
  const yieldStress = rheology === undefined ? 0 : yieldStressOf(rheologyModel(rheology));
  for (const found of relaxationFindings({ dot, volume: shots * window.aim, yieldStress })) {
    out.push(
      dotFinding('gauge-uncalibrated', found.path, `${found.message}: the gauge needs \`resin.dot.calibration\``),
    );
  }
  if (out.length === 0) out.push(...spreadingFindings(recipe, dot, { read, volume: shots * window.aim }));
  const error = read.misreading(shots * window.aim);
  if (!atMost(error, tolerance / 2)) {
    const message = `a misreading of ${inWords(dot.readingError, 'mm')} is ${inWords(error, '%', 3)} of the volume of ${counted(shots, 'shot')}, more than half the tolerance of ${inWords(tolerance, '%', 3)}`;
    out.push(dotFinding('gauge-reading-coarse', recipe.resin?.dot?.reading_error.path ?? null, message));
  }
  const [least, middle, most] = [window.min, window.aim, window.max].map(v => read.diameter(shots * v));
  const gap = Math.min(middle! - least!, most! - middle!);
  if (gap < dot.readingError) {
    const message = `the diameters of two rings differ by ${inWords(Math.max(gap, 0), 'mm', 3)} only, the reading error is ${inWords(dot.readingError, 'mm')}`;
    out.push(dotFinding('gauge-rings-close', recipe.connector?.reach?.min.path ?? null, message));
  }
  return out;
}

function spreadingKeys(recipe: Recipe, { dot, read, window }: GaugePlan, shots: number): SpreadingKeys | null {
  const age = recipe.process?.ready_after.value ?? 0;
  const volume = shots * window.aim;
  const settled = (at: number) =>
    settledAfter(recipe, dot, { viscosity: spreadingViscosity(recipe, { age: at }), volume });
  const fresh = settled(age);
  if (fresh === null) return null;
  const stop = stopAge(recipe);
  return {
    age_min: age / 60,
    diameter_share: read.share(volume),
    within_1_pct_fresh_s: fresh,
    within_1_pct_stop_s: stop === null ? null : settled(stop),
  };
}

/** Least and greatest volume of one shot [m³] that tolerance and window both allow. */
function okVolumes({ window, tolerance }: GaugePlan): [number, number] {
  return [Math.max(window.min, window.aim * (1 - tolerance)), Math.min(window.max, window.aim * (1 + tolerance))];
}

/** What a gauge says; so many circles, default as many as the paper holds. */
export function gaugeKeys(recipe: Recipe, { plan, shots }: PlannedGauge, circles?: number): GaugeResult {
  const { dot, read, window } = plan;
  const density = recipe.resin?.density?.value ?? 0; // resinDot has asked for it
  const amounts = (volume: number) => ({
    volume_uL: volume * MICROLITRE,
    mass_mg: volume * density * MILLIGRAM,
    diameter_mm: read.diameter(volume) * MILLI,
  });
  const grid = gridFor(plan, shots);
  const block = recipe.resin?.dot;
  return {
    rings: (['min', 'aim', 'max'] as const).map(name => ({ name, ...amounts(shots * window[name]) })),
    ok_mm: okVolumes(plan).map(volume => amounts(shots * volume).diameter_mm) as [number, number],
    shots_per_circle: shots,
    reading_error_pct: read.misreading(shots * window.aim) * PERCENT,
    circles: circles ?? (grid === null ? 1 : grid.columns * grid.rows),
    paper: plan.paper,
    file: null,
    reading_error_mm: dot.readingError * MILLI,
    tolerance_pct: plan.tolerance * PERCENT,
    shot: { ...amounts(window.aim), reading_error_pct: read.misreading(window.aim) * PERCENT },
    contact_angle_deg: (dot.contactAngle * 180) / Math.PI,
    contact_angle_uncertainty_deg: dot.standardUncertainty === null ? null : (dot.standardUncertainty * 180) / Math.PI,
    calibration_dots: dot.basis === 'calibration' ? (block?.calibration?.length ?? 0) : 0,
    surface: block?.surface ?? null,
    read_after_s: block?.read_after?.value ?? null,
    spreading: spreadingKeys(recipe, plan, shots),
    scale_x: plan.scaleX,
    scale_y: plan.scaleY,
    model: `sessile drop under gravity (Young–Laplace)${read.spreads ? ', spreading by Cox and Voinov' : ''}`,
    defaults: plan.defaults,
  };
}
