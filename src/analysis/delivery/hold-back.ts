import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import {
  commonWindow,
  type HoldBackWindow,
  holdBackWindow,
  safeHoldBackWindow,
  yieldHold,
} from '../../physics/drop/hold-back.ts';
import type { Quantity, Recipe, RheologyBlock } from '../../recipe/schema/recipe.ts';
import { type ResolvedNeedle, resolveNeedle } from './needle.ts';

/** Vacuum, in kPa below atmosphere. */
export interface HoldBackRange {
  readonly min_kPa: number;
  readonly max_kPa: number;
}

/** Windows that serve whatever pressure the plunger has kept by its friction; null where there is none. */
export interface SafeHoldBack {
  readonly full: HoldBackRange | null;
  readonly empty: HoldBackRange | null;
  readonly common_range: HoldBackRange | null;
}

export interface HoldBackResult {
  /** Friction of the plunger, which may keep as much pressure in, or off, after venting. */
  readonly friction_kPa: number;
  /** Whatever the plunger has kept. */
  readonly safe: SafeHoldBack;
  /** The syringe as filled, as long as the plunger stays where it is. */
  readonly full: HoldBackRange;
  /** With `left_over` in the barrel. */
  readonly empty: HoldBackRange;
  /** Whether one setting serves both. */
  readonly common: boolean;
  /** The settings that serve both; null when there are none. */
  readonly common_range: HoldBackRange | null;
}

export interface HoldBackOptions {
  /** Contact angle in the needle [rad] where `needle.contact_angle` is absent: the dot's, given or fitted. */
  readonly contactAngle: number | null;
  /** Yield stress at rest [Pa]; default: the recipe's own. */
  readonly yieldStress?: number;
}

/**
 * The window of hold-back vacuum for the full and for the nearly empty syringe, and whether one setting serves both: whatever the
 * plunger has kept by its friction, and as long as it stays where it is.
 * Needs needle, density, surface tension, a contact angle and the syringe's inside diameter.
 */
export function holdBack(recipe: Recipe, options: HoldBackOptions): Outcome<HoldBackResult> {
  const needle = resolveNeedle(recipe);
  const angle = recipe.needle?.contact_angle?.value ?? options.contactAngle;
  const { density, surface_tension: surfaceTension, rheology } = recipe.resin ?? {};
  const syringe = recipe.station?.syringe;
  const findings = [...needle.findings, ...missingKeys(recipe, angle)];
  const inside = syringe?.inside_diameter;
  if (
    needle.result === null ||
    angle === null ||
    density === undefined ||
    surfaceTension === undefined ||
    syringe === undefined ||
    inside === undefined
  ) {
    return { result: null, findings };
  }
  const sections = straight(needle.result);
  const stress = options.yieldStress ?? yieldStressOf(rheology);
  const tip = {
    density: density.value,
    surfaceTension: surfaceTension.value,
    bore: needle.result.bore.value,
    contactAngle: angle,
    friction: syringe.plunger_friction.value,
    yieldHold: yieldHold({ yieldStress: stress, sections }),
  };
  const crossSection = (Math.PI / 4) * inside.value ** 2; // [m²]
  const { length } = needle.result;
  const at = (held: Quantity) => ({ ...tip, height: length + held.value / crossSection });
  const [full, empty] = [at(syringe.fill), at(syringe.left_over)];
  const windows = { full: holdBackWindow(full), empty: holdBackWindow(empty) };
  const common = commonWindow(windows.full, windows.empty);
  return {
    result: {
      friction_kPa: tip.friction / 1e3,
      safe: safeRanges(safeHoldBackWindow(full), safeHoldBackWindow(empty)),
      full: range(windows.full),
      empty: range(windows.empty),
      common: common.exists,
      common_range: common.exists ? range(common) : null,
    },
    findings: [...findings, ...windowFindings(recipe, windows, common)],
  };
}

function straight(needle: ResolvedNeedle) {
  return needle.sections.map(s => ({ front: s.front.value, rear: s.rear.value, length: s.length.value }));
}

function safeRanges(full: HoldBackWindow, empty: HoldBackWindow): SafeHoldBack {
  const rangeOf = (w: HoldBackWindow) => (w.exists ? range(w) : null);
  const both = full.exists && empty.exists ? commonWindow(full, empty) : null;
  return { full: rangeOf(full), empty: rangeOf(empty), common_range: both === null ? null : rangeOf(both) };
}

function range(w: HoldBackWindow): HoldBackRange {
  return { min_kPa: w.min / 1e3, max_kPa: w.max / 1e3 };
}

function yieldStressOf(rheology: RheologyBlock | undefined): number {
  return rheology !== undefined && 'yield_stress' in rheology ? rheology.yield_stress.value : 0;
}

function missingKeys(recipe: Recipe, angle: number | null): Finding[] {
  const needed: [boolean, string][] = [
    [recipe.resin?.density === undefined, 'resin.density'],
    [recipe.resin?.surface_tension === undefined, 'resin.surface_tension'],
    [angle === null, 'needle.contact_angle'],
    [recipe.station?.syringe?.inside_diameter === undefined, 'station.syringe.inside_diameter'],
  ];
  return needed.filter(([missing]) => missing).map(([, path]) => blockMissing(path, 'the hold-back window'));
}

function windowFindings(
  recipe: Recipe,
  windows: { full: HoldBackWindow; empty: HoldBackWindow },
  common: HoldBackWindow,
): Finding[] {
  const path = recipe.station?.hold_back?.max.path ?? 'station.syringe';
  const findings: Finding[] = [];
  for (const [state, w] of Object.entries(windows)) {
    if (w.exists) continue;
    const message = `${state} syringe: no drip needs at least ${inWords(w.min, 'kPa')}, no air drawn in at most ${inWords(w.max, 'kPa')}`;
    findings.push(deliveryFinding('hold-back-none', path, message));
  }
  if (windows.full.exists && windows.empty.exists && !common.exists) {
    const message = `the full syringe needs at least ${inWords(windows.full.min, 'kPa')}, the nearly empty one takes at most ${inWords(windows.empty.max, 'kPa')}`;
    findings.push(deliveryFinding('hold-back-two-settings', path, message));
  }
  const most = recipe.station?.hold_back?.max;
  if (most !== undefined && !atMost(windows.full.min, most.value)) {
    const message = `the full syringe needs at least ${inWords(windows.full.min, 'kPa')}, the station has ${inWords(most.value, 'kPa')}`;
    findings.push(deliveryFinding('hold-back-beyond-station', most.path, message));
  }
  return findings;
}
