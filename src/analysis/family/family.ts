import { familyFinding } from '../../diagnostics/codes/family-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inPercent } from '../../diagnostics/number-words.ts';
import { resinDigest, unlikeKeys } from '../../recipe/format/digest.ts';
import type { WallClass } from '../../recipe/schema/recipe.ts';
import type { Paper } from '../dot/gauge-grid.ts';
import type { NeedleChoice } from '../needles/needle-choice.ts';
import { programFindings } from '../program/best-program.ts';
import type { RampEnd } from '../program/run-end.ts';
import { dwellAt } from '../ramp/dwell-grid.ts';
import { programKeys, type SetpointProgramKeys } from '../setpoint/setpoint.ts';
import { chooseShared, type SharedChoice, type SharedSetting, sharedSettings } from './family-choice.ts';
import { type FamilyGauge, gaugeScale } from './family-gauge.ts';
import { type FamilyMember, type FamilyNeedle, familyNeedles } from './family-needle.ts';

export type { FamilyGauge, FamilyMember };

export interface FamilyOptions {
  /** Fixes the pressure [Pa]. */
  readonly pressure?: number | undefined;
  /** Needles to choose from; default: those of the members. */
  readonly needles?: readonly NeedleChoice[] | undefined;
  /** Default A4. */
  readonly paper?: Paper | undefined;
}

export interface FamilyMemberKeys {
  readonly recipe: string;
  readonly name: string | null;
  readonly dwell_s: number;
  /** Null where the recipe does not tell a run. */
  readonly program: SetpointProgramKeys | null;
  /** Of that dwell against the aim; above zero: too much. */
  readonly error_pct: number;
  /** Predicted relative standard deviation of the shot. */
  readonly spread_rel: number;
  /** The same of what changes from shot to shot, which no trim takes out. */
  readonly after_trim_rel: number;
  readonly volume_uL: number;
  readonly aim_uL: number;
  readonly window_uL: readonly [number, number] | null;
  readonly bore_shot_uL: number;
  readonly tolerance_pct: number | null;
  /** Of a syringe that makes this member alone. */
  readonly end: { readonly reason: RampEnd; readonly shot: number; readonly age_min: number } | null;
}

/** What a member would have by itself, and what sharing makes of it. */
export interface SharingCostKeys {
  readonly recipe: string;
  readonly alone_needle: string;
  readonly alone_pressure_kPa: number;
  readonly alone_dwell_s: number;
  readonly alone_error_pct: number;
  readonly alone_spread_rel: number;
  /** Shared less alone. */
  readonly spread_added_rel: number;
}

export interface FamilyNeedleKeys {
  readonly needle: string;
  readonly gauge: string | null;
  readonly wall: WallClass;
  readonly length_mm: number | null;
  readonly bore_mm: number | null;
  readonly outside_mm: number | null;
  readonly chosen: boolean;
  /** The best shared pressure with it; null where it does not serve all members. */
  readonly pressure_kPa: number | null;
  readonly worst_spread_rel: number | null;
  /** Why it does not serve them all. */
  readonly because: readonly string[];
}

export interface FamilyResult {
  readonly resin: string | null;
  readonly pressure_kPa: number;
  readonly needle: string;
  readonly worst_spread_rel: number;
  readonly why: readonly string[];
  readonly members: readonly FamilyMemberKeys[];
  readonly cost_of_sharing: readonly SharingCostKeys[];
  readonly needles: readonly FamilyNeedleKeys[];
  /** The exact dwell by member and age: `dwell_s[member][age]`, null before the first shot and past the stop. */
  readonly matrix: { readonly ages_min: readonly number[]; readonly dwell_s: readonly (readonly (number | null)[])[] };
  /** One dot gauge for all; null where `gauge_because` says why. */
  readonly gauge: FamilyGauge | null;
  readonly gauge_because: string | null;
  /** Where the card was written; null until the command has written it. */
  readonly file: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface FamilyOutcome {
  readonly result: FamilyResult | null;
  /** What is to be said of each member, in their order. */
  readonly findings: readonly (readonly Finding[])[];
}

/** Members that read the same dot this far apart need gauges of their own [-]. */
const READ_ALIKE = 0.005;

/**
 * One needle and one pressure for the connectors of several recipes, so that a station changes over between them by its program alone:
 * the least worst predicted spread among what serves every member, see `chooseShared`; each member's dwell and ramp,
 * what sharing costs it, the dwell by age, and one dot gauge for all.
 *
 * Needs members of one resin, name included: what is in one syringe.
 */
export function family(members: readonly FamilyMember[], options: FamilyOptions = {}): FamilyOutcome {
  const unlike = resinFindings(members);
  if (unlike.some(found => found.length > 0)) return { result: null, findings: unlike };
  const { pressure, needles: choices, paper = 'a4' } = options;
  const given = { ...(pressure !== undefined && { pressure }), ...(choices !== undefined && { needles: choices }) };
  const needles = familyNeedles(members, given);
  const all = members.map((_, i) => i);
  const chosen = chooseShared(sharedSettings(needles, all));
  if (chosen === null) return { result: null, findings: noneFindings(members, needles) };
  const { setting } = chosen;
  const scale = gaugeScale(setting.members, paper);
  const result: FamilyResult = {
    resin: members[0]?.recipe.resin?.name ?? null,
    pressure_kPa: setting.pressure / 1e3,
    needle: setting.needle.name,
    worst_spread_rel: setting.worstSpread,
    why: chosen.why,
    members: all.map(i => memberKeys(setting, i)),
    cost_of_sharing: all.map(i => costKeys(needles, setting, i)),
    needles: needles.map(needle => needleKeys(needle, setting, all)),
    matrix: matrixOf(setting),
    gauge: scale.gauge,
    gauge_because: scale.gauge === null ? scale.because : null,
    file: null,
    models: setting.members[0]!.settings.point.models,
    defaults: setting.members[0]!.settings.point.defaults,
  };
  return { result, findings: all.map(i => memberFindings(setting, i, scale.gauge === null ? 0 : scale.apart)) };
}

/** What keeps members from one pot: each against the first. */
export function resinFindings(members: readonly FamilyMember[]): Finding[][] {
  const [first] = members;
  return members.map(({ recipe }) => {
    if (recipe.resin === undefined || resinDigest(recipe) === resinDigest(first!.recipe)) return [];
    const keys = unlikeKeys(first!.recipe.resin ?? {}, recipe.resin).map(key => `resin.${key}`);
    const message = `members of a family share one resin; ${keys.join(', ')} ${keys.length === 1 ? 'is' : 'are'} not as in ${first!.file}`;
    return [familyFinding('family-resins', keys.length === 1 ? keys[0]! : 'resin', message)];
  });
}

/** Why nothing serves them all: what keeps each member from every needle, else that no pressure is common. */
function noneFindings(members: readonly FamilyMember[], needles: readonly FamilyNeedle[]): Finding[][] {
  const why = needles.map(({ name, because }) => `${name}${because.length === 0 ? '' : ` (${because.join('; ')})`}`);
  const serving = needles.some(({ because }) => because.length === 0);
  const message = serving
    ? `no pressure is one that every member can work with, with ${why.join(', ')}`
    : `no needle serves every member: ${why.length === 0 ? 'none of them names one' : why.join(', ')}`;
  return members.map((_, i) => [
    ...distinct(needles.flatMap(({ findings }) => findings[i] ?? [])),
    ...(i === 0 ? [familyFinding('family-none', null, message)] : []),
  ]);
}

function memberFindings({ members, pairs }: SharedSetting, i: number, apart: number): Finding[] {
  const { settings, programs } = members[i]!;
  const pair = pairs[i]!;
  const program = programs()?.of(pair) ?? null;
  const { fine } = settings.criteria;
  const found = program === null ? [] : programFindings(program);
  if (fine !== null && Math.abs(pair.error) > fine * (1 + 1e-9)) {
    const message = `the best shared setting misses the aim by ${inPercent(pair.error)}, more than ${inPercent(fine)}, a tenth of the tolerance`;
    found.push(familyFinding('family-coarse', 'process.tolerance', message));
  }
  if (i === 0 && apart > READ_ALIKE) {
    const message = `members read the same dot up to ${inPercent(apart)} apart in diameter, for their ages and temperatures differ; the scale is for the first`;
    found.push(familyFinding('family-gauge-apart', 'resin.dot.read_after', message));
  }
  return distinct(found);
}

function memberKeys({ members, pairs }: SharedSetting, i: number): FamilyMemberKeys {
  const { member, settings, programs } = members[i]!;
  const pair = pairs[i]!;
  const { min, max } = settings.aim.book.backfill;
  const program = programs()?.of(pair) ?? null;
  const end = program?.plan.end;
  return {
    recipe: member.file,
    name: member.recipe.name ?? null,
    dwell_s: pair.dwell,
    program: program === null ? null : programKeys(program),
    error_pct: pair.error * 100,
    spread_rel: settings.spread.relative(pair),
    after_trim_rel: settings.spread.fromShotToShot(pair),
    volume_uL: pair.volume * 1e9,
    aim_uL: settings.aim.aim * 1e9,
    window_uL: min === null || max === null ? null : [min * 1e9, max * 1e9],
    bore_shot_uL: settings.aim.boreShot * 1e9,
    tolerance_pct: member.recipe.process?.tolerance === undefined ? null : member.recipe.process.tolerance.value * 100,
    end: end === undefined ? null : { reason: end.reason, shot: end.shot, age_min: end.age / 60 },
  };
}

/** A member that serves the family can always be served alone: its own settings hold the shared one. */
function costKeys(needles: readonly FamilyNeedle[], shared: SharedSetting, i: number): SharingCostKeys {
  const alone = chooseShared(sharedSettings(needles, [i])) as SharedChoice;
  const { needle, pairs, worstSpread, pressure } = alone.setting;
  const { settings, member } = shared.members[i]!;
  return {
    recipe: member.file,
    alone_needle: needle.name,
    alone_pressure_kPa: pressure / 1e3,
    alone_dwell_s: pairs[0]!.dwell,
    alone_error_pct: pairs[0]!.error * 100,
    alone_spread_rel: worstSpread,
    spread_added_rel: settings.spread.relative(shared.pairs[i]!) - worstSpread,
  };
}

function needleKeys(needle: FamilyNeedle, shared: SharedSetting, all: readonly number[]): FamilyNeedleKeys {
  const chosen = needle === shared.needle;
  const best = chosen ? shared : (chooseShared(sharedSettings([needle], all))?.setting ?? null);
  const resolved = needle.members.find(member => member !== null)?.settings.point.needle;
  const { gauge, wall, length } = needle.needle;
  return {
    needle: needle.name,
    ...{ gauge: gauge ?? null, wall, length_mm: length === undefined ? null : length.value * 1e3 },
    bore_mm: resolved === undefined ? null : resolved.bore.value * 1e3,
    outside_mm: resolved?.outside == null ? null : resolved.outside.value * 1e3,
    chosen,
    pressure_kPa: best === null ? null : best.pressure / 1e3,
    worst_spread_rel: best === null ? null : best.worstSpread,
    because: needle.because,
  };
}

const AGE_STEP = 300; // [s]
const MOST_AGES = 60;

/** Dwells every 5 min from the first shot of any member to the last. */
function matrixOf({ members, pairs }: SharedSetting): FamilyResult['matrix'] {
  const plans = members.map(({ programs }, i) => programs()?.of(pairs[i]!)?.plan ?? null);
  const runs = plans.flatMap(plan => (plan === null ? [] : [{ from: plan.shots[0]!.age, to: plan.end.age }]));
  if (runs.length === 0) return { ages_min: [], dwell_s: members.map(() => []) };
  const from = Math.min(...runs.map(run => run.from));
  const to = Math.max(...runs.map(run => run.to));
  const count = Math.min(MOST_AGES, Math.floor((to - from) / AGE_STEP + 1e-9) + 1);
  const ages = Array.from({ length: count }, (_, k) => from + k * AGE_STEP);
  return {
    ages_min: ages.map(age => Number((age / 60).toPrecision(12))),
    dwell_s: plans.map((plan, i) =>
      ages.map(age => {
        if (plan === null || age < plan.shots[0]!.age - 1e-6 || age > plan.end.age + 1e-6) return null;
        return dwellAt(members[i]!.recipe, { plan, age });
      }),
    ),
  };
}
