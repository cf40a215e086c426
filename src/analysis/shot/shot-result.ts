import type { Finding } from '../../diagnostics/finding.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import { yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type CavityBook, cavityBook } from '../cavity/cavity-book.ts';
import { type HoldBackResult, holdBack } from '../delivery/hold-back.ts';
import type { Delivery, OperatingPoint, Setting } from '../delivery/operating-point.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import { type DotKeys, type ResinDot, relaxationFindings, resinDot } from '../dot/dot.ts';
import { readDot, spreadingFindings } from '../dot/read-dot.ts';
import { slowViscosity } from '../dot/spreading-resin.ts';
import { type BoreKeys, boreKeys, boreMarch, rectangleFindings } from '../needles/bore-shot.ts';
import { flowFindings } from './shot-findings.ts';

type Nullable<T> = { readonly [K in keyof T]: T[K] | null };

export interface ShotResult extends Nullable<DotKeys> {
  /** As it is seen `dot.read_after` later; null where the recipe does not say when that is. */
  readonly dot_read_diameter_mm: number | null;
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  readonly age_min: number;
  readonly temperature_C: number;
  /** Age alone: viscosity now over viscosity at age 0. */
  readonly viscosity_factor: number;
  readonly lot_factor: number;
  /** How much thicker the pause before this shot leaves the resin, roughly; null without one. */
  readonly rebuild_factor: number | null;
  readonly dispensed_mL: number;
  /** Steady, at the set pressure less friction. */
  readonly flow_uL_per_s: number;
  readonly volume_uL: number;
  /** What of it leaves after the dwell. */
  readonly ooze_uL: number;
  readonly mass_mg: number | null;
  readonly wall_shear_stress_Pa: number;
  readonly wall_shear_rate_per_s: number;
  readonly wall_viscosity_Pa_s: number | null;
  readonly reynolds: number | null;
  /** Extra length of the openings over the lengthened length. */
  readonly end_effect_pct: number;
  readonly kinetic_pct: number | null;
  /** Nothing leaves at and below this set pressure. */
  readonly no_flow_below_kPa: number;
  readonly bore: BoreKeys | null;
  readonly hold_back: HoldBackResult | null;
  readonly aim_uL: number | null;
  readonly window_uL: readonly [number, number] | null;
  /** Above zero: too much. */
  readonly error_to_aim_pct: number | null;
  /** Limits included. */
  readonly within_window: boolean | null;
  /** The shot for isothermal and adiabatic air, smaller first. */
  readonly air_bound_uL: readonly [number, number] | null;
  /** How the shot moves as the syringe empties; only where air fills a volume. */
  readonly drift: ShotDrift | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface ShotDrift {
  readonly full_uL: number;
  readonly half_uL: number;
  readonly nearly_empty_uL: number;
  /** Nearly empty over full, less one. */
  readonly full_to_empty_pct: number;
}

/** A setting, and the syringe at the moment of the shot. */
export interface ShotParts {
  readonly delivery: Delivery;
  readonly point: OperatingPoint;
  readonly setting: Setting;
}

/** The named result of a shot; what there is to say about it goes to the findings. */
export function shotResult(recipe: Recipe, parts: ShotParts, findings: Finding[]): ShotResult {
  const { delivery, point, setting } = parts;
  const density = recipe.resin?.density?.value ?? null;
  const { volume, ooze } = point.deliver(setting);
  const flow = point.steady(setting.pressure, density);
  findings.push(...flowFindings(recipe, { point, flow, pressure: setting.pressure }));
  const book = bookOf(recipe, findings);
  const dot = dotOf(recipe, findings);
  if (dot !== null && volume > 0) {
    findings.push(...relaxationFindings({ dot, volume, yieldStress: yieldStressOf(point.rheology) }));
  }
  const bound = point.bound(setting);
  return {
    pressure_kPa: setting.pressure / 1e3,
    dwell_s: setting.dwell,
    age_min: point.age / 60,
    temperature_C: point.temperature - 273.15,
    viscosity_factor: point.viscosityFactor,
    lot_factor: point.lotFactor,
    rebuild_factor: null,
    dispensed_mL: point.dispensed * 1e6,
    flow_uL_per_s: flow.flow * 1e9,
    volume_uL: volume * 1e9,
    ooze_uL: ooze * 1e9,
    mass_mg: density === null ? null : volume * density * 1e6,
    ...(dot === null || volume === 0 ? NO_DOT : dot.keys(volume)),
    dot_read_diameter_mm: dot === null || volume === 0 ? null : readDiameter(recipe, { dot, volume, point }, findings),
    wall_shear_stress_Pa: flow.wallShearStress,
    wall_shear_rate_per_s: flow.wallShearRate,
    wall_viscosity_Pa_s: flow.wallViscosity,
    reynolds: density === null ? null : flow.reynolds,
    end_effect_pct: flow.endShare * 100,
    kinetic_pct: density === null ? null : flow.kineticShare * 100,
    no_flow_below_kPa: point.restPressure / 1e3,
    bore: boreOf(recipe, book, parts, findings),
    hold_back: holdBackOf(recipe, { dot, point }, findings),
    ...againstAim(book, volume),
    air_bound_uL: bound === null ? null : [bound[0] * 1e9, bound[1] * 1e9],
    drift: bound === null ? null : driftOf(delivery, point, setting),
    models: [...point.models, ...(dot === null ? [] : ['dot Young–Laplace'])],
    defaults: [...point.defaults, ...takenByDefault(recipe, 'shot')],
  };
}

/** [mm] */
function readDiameter(
  recipe: Recipe,
  p: { dot: ResinDot; volume: number; point: OperatingPoint },
  findings: Finding[],
): number | null {
  if (recipe.resin?.dot?.read_after === undefined) return null;
  const read = readDot(recipe, p.dot, slowViscosity(p.point.rheology));
  findings.push(...spreadingFindings(recipe, p.dot, { read, volume: p.volume }));
  return read.diameter(p.volume) * 1e3;
}

const NO_DOT = {
  dot_diameter_mm: null,
  dot_contact_diameter_mm: null,
  dot_height_mm: null,
  dot_cap_error_pct: null,
} as const;

function bookOf(recipe: Recipe, findings: Finding[]): CavityBook | null {
  if (recipe.connector === undefined) return null;
  const book = cavityBook(recipe);
  findings.push(...optional(book.findings));
  return book.result;
}

function dotOf(recipe: Recipe, findings: Finding[]): ResinDot | null {
  const dot = resinDot(recipe);
  findings.push(...optional(dot.findings));
  return dot.result;
}

function holdBackOf(
  recipe: Recipe,
  at: { dot: ResinDot | null; point: OperatingPoint },
  findings: Finding[],
): HoldBackResult | null {
  const contactAngle = at.dot?.contactAngle ?? null;
  const window = holdBack(recipe, { contactAngle, yieldStress: yieldStressOf(at.point.rheology) });
  findings.push(...optional(window.findings));
  return window.result;
}

function boreOf(recipe: Recipe, book: CavityBook | null, parts: ShotParts, findings: Finding[]): BoreKeys | null {
  const { point, setting } = parts;
  if (book === null || book.wantedBead === null) return null;
  findings.push(...rectangleFindings(book, point));
  const march = boreMarch(recipe, book, point, setting.pressure);
  return march === null
    ? null
    : boreKeys(march, point.openTime(setting.dwell), { ...book, wantedBead: book.wantedBead });
}

function againstAim(book: CavityBook | null, volume: number) {
  const { min = null, aim = null, max = null } = book?.backfill ?? {};
  const window = min === null || max === null ? null : ([min * 1e9, max * 1e9] as const);
  return {
    aim_uL: aim === null ? null : aim * 1e9,
    window_uL: window,
    error_to_aim_pct: aim === null || aim === 0 ? null : (volume / aim - 1) * 100,
    within_window: min === null || max === null ? null : atLeast(volume, min) && atMost(volume, max),
  };
}

function driftOf(delivery: Delivery, point: OperatingPoint, setting: Setting): ShotDrift | null {
  const volumes = delivery.syringeEnds().flatMap(dispensed => {
    const at = delivery.at({ age: point.age, dispensed }).result;
    return at === null ? [] : [at.deliver(setting).volume * 1e9];
  });
  const [full, half, empty] = volumes;
  if (full === undefined || half === undefined || empty === undefined || !(full > 0)) return null;
  return { full_uL: full, half_uL: half, nearly_empty_uL: empty, full_to_empty_pct: (empty / full - 1) * 100 };
}

/** Findings of what a shot can do without: a missing block leaves its keys null and needs no word. */
function optional(findings: readonly Finding[]): Finding[] {
  return findings.filter(({ code }) => code !== 'block-missing' && code !== 'cavity-incomplete');
}
