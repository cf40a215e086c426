import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { mixFinding } from '../../diagnostics/codes/mix-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inMinutes, inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type KitLimits, kitLimits, noneFits, withinLimits } from './kit-limits.ts';
import {
  CONDUCTIVITY,
  type CupKeys,
  cupKeys,
  type MassInCup,
  type MixCup,
  massInCup,
  mixCup,
  type NoHeat,
  WARM_CORE,
} from './mix-cup.ts';
import { type MixRatio, partsOf, ratioError } from './mix-ratio.ts';

export interface MixOptions {
  /** Of one kit [kg]; default: what fills one syringe, within the limits. */
  readonly mass?: number | undefined;
  /** Kits of that mass, for the sheet; default 1. */
  readonly kits?: number | undefined;
}

export interface MixResult {
  readonly base_g: number;
  readonly hardener_g: number;
  /** Null where the recipe has no scale. */
  readonly least_mass_g: number | null;
  /** Of both weighings together, at this mass. */
  readonly ratio_error_pct: number | null;
  /** Null where nothing is known of the heat. */
  readonly cup: CupKeys | null;
  /** Where the mixing sheet was written; null until the command has written it. */
  readonly sheet: string | null;
  readonly mass_g: number;
  readonly kits: number;
  /** By mass: base over hardener. */
  readonly ratio: number;
  readonly tolerance_pct: number;
  readonly scale_g: number | null;
  readonly base_mL: number | null;
  readonly hardener_mL: number | null;
  readonly resin: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** What is left standing and warms by more than this is warned of [K]; ours, no source. */
const RUNS_AWAY = 50;

/** Masses that are looked at [kg]. */
const MASSES = { least: 1e-5, most: 1000 };

/**
 * What is weighed for a kit, how far its ratio may be off, and how warm it gets in its cup.
 *
 *   least mass = (u/δ)·√(((r + 1)/r)² + (r + 1)²), both parts weighed to ± u, the cup tared before each
 */
export function mix(recipe: Recipe, options: MixOptions = {}): Outcome<MixResult> {
  const limits = kitLimits(recipe);
  if (limits.ratio === null) return { result: null, findings: [blockMissing('resin.mix', 'mixing')] };
  const mass = massOf(recipe, limits, options.mass);
  if (mass.result === null) return { result: null, findings: mass.findings };
  const cup = mixCup(recipe);
  const known = cup === null || 'missing' in cup ? null : cup;
  const warmed = known === null ? null : massInCup(known, mass.result);
  const parts = { limits, ratio: limits.ratio, mass: mass.result, kits: options.kits ?? 1, cup, known, warmed };
  return { result: resultOf(recipe, parts), findings: mixFindings(recipe, parts) };
}

/** The mass asked for, or that of a full syringe within the limits. */
function massOf(recipe: Recipe, limits: KitLimits, asked: number | undefined): Outcome<number> {
  const failed = (finding: Finding) => ({ result: null, findings: [finding] });
  if (asked === undefined && noneFits(limits)) return failed(noMass(limits));
  const { station, resin } = recipe;
  const fill = station?.syringe?.fill.value;
  if (asked === undefined && fill === undefined && limits.least === null) {
    return failed(blockMissing('station.syringe', 'the mass of a kit', 'add `station.syringe`, or give a mass'));
  }
  if (asked === undefined && fill !== undefined && resin?.density === undefined) {
    return failed(blockMissing('resin.density', 'the mass of a kit'));
  }
  const full = fill === undefined ? 0 : fill * (resin?.density?.value ?? 0);
  const mass = asked ?? withinLimits(limits, full);
  if (mass >= MASSES.least && mass <= MASSES.most) return { result: mass, findings: [] };
  return failed(mixFinding('mix-mass-odd', null, `a kit would be ${inWords(mass, 'g')}`));
}

interface Parts {
  readonly limits: KitLimits;
  readonly ratio: MixRatio;
  readonly mass: number; // [kg]
  readonly kits: number;
  readonly cup: MixCup | NoHeat | null;
  /** The cup where its heat can be worked out, and the mass in it. */
  readonly known: MixCup | null;
  readonly warmed: MassInCup | null;
}

function resultOf(recipe: Recipe, { limits, ratio, mass, kits, known, warmed }: Parts): MixResult {
  const parts = partsOf(ratio.ratio, mass);
  const millilitres = (part: number, density: number | null) => (density === null ? null : (part / density) * 1e6);
  return {
    base_g: parts.base * 1e3,
    hardener_g: parts.hardener * 1e3,
    least_mass_g: limits.least === null ? null : limits.least * 1e3,
    ratio_error_pct: ratio.scale === null ? null : ratioError({ ...ratio, scale: ratio.scale, mass }) * 100,
    cup: known === null || warmed === null ? null : cupKeys(known, warmed, limits.largest),
    sheet: null,
    mass_g: mass * 1e3,
    kits,
    ratio: ratio.ratio,
    tolerance_pct: ratio.tolerance * 100,
    scale_g: ratio.scale === null ? null : ratio.scale * 1e3,
    base_mL: millilitres(parts.base, ratio.baseDensity),
    hardener_mL: millilitres(parts.hardener, ratio.hardenerDensity),
    resin: recipe.resin?.name ?? null,
    models: known !== null ? ['cure castro-macosko', 'heat balance of a stirred mass'] : [],
    defaults: known !== null ? cupDefaults(recipe) : [],
  };
}

function cupDefaults({ resin, process }: Recipe): string[] {
  return [
    ...(process?.temperature === undefined ? ['process.temperature: resin.reference_temperature'] : []),
    ...(resin?.conductivity === undefined
      ? [`resin.conductivity: ${CONDUCTIVITY} W/(m.K), ours, without a source`]
      : []),
    ...(process?.cup?.rise.source === 'default' ? ['process.cup.rise: 10 K, ours, without a source'] : []),
  ];
}

function noMass({ least, largest }: KitLimits): Finding {
  const message = `the scale keeps the ratio from ${inWords(least!, 'g')} on, the heat allows ${inWords(largest!, 'g')} at most`;
  return mixFinding('mix-no-mass', 'resin.mix', message);
}

/** What there is to say about a mass that is mixed. */
function mixFindings(recipe: Recipe, parts: Parts): Finding[] {
  return [
    ...(noneFits(parts.limits) ? [noMass(parts.limits)] : []),
    ...weighingFindings(recipe, parts),
    ...heatFindings(parts),
  ];
}

function weighingFindings({ station }: Recipe, { limits: { least }, ratio, mass }: Parts): Finding[] {
  if (least === null || ratio.scale === null) {
    return [
      mixFinding('mix-by-eye', 'station.scale', 'without `station.scale` nobody can say what the ratio comes to'),
    ];
  }
  if (mass >= least * (1 - 1e-9)) return [];
  const off = ratioError({ ...ratio, scale: ratio.scale, mass });
  const message = `a kit of ${inWords(mass, 'g')} is off its ratio by up to ${inWords(off, '%', 3)}, the tolerance is ${inWords(ratio.tolerance, '%')}: mix at least ${inWords(least, 'g')}`;
  return [mixFinding('mix-too-small', station?.scale?.path ?? null, message)];
}

function heatFindings({ cup, warmed, mass, limits: { largest } }: Parts): Finding[] {
  if (cup === null) return [];
  if ('missing' in cup || warmed === null) {
    const what = 'missing' in cup ? cup.missing : 'values that can be computed with';
    return [mixFinding('mix-heat-unknown', 'process.cup', `the heat of the mix needs ${what}`)];
  }
  const out: Finding[] = [];
  if (warmed.rise > cup.rise * (1 + 1e-9)) {
    const most = largest === null ? '' : `: mix at most ${inWords(largest, 'g')}`;
    const message = `${inWords(mass, 'g')} in its cup warms by ${inWords(warmed.rise, 'K', 3)} in ${inMinutes(cup.until)}, ${inWords(cup.rise, 'K', 3)} is the most${most}`;
    out.push(mixFinding('mix-too-large', 'process.cup', message));
  }
  if (warmed.peak - cup.heat.room > RUNS_AWAY) {
    const message = `${inWords(mass, 'g')} left standing in its cup reaches ${Math.round(warmed.peak - 273.15)} °C after ${inMinutes(warmed.peakTime)}`;
    out.push(mixFinding('mix-runs-away', 'process.cup', message));
  }
  if (warmed.biot > WARM_CORE) {
    const message = `h·(V/A)/k is ${Number(warmed.biot.toPrecision(2))}, above ${WARM_CORE}: the core is hotter than the balance says`;
    out.push(mixFinding('mix-hot-core', 'process.cup', message));
  }
  return out;
}
