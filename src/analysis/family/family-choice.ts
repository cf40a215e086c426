import { counted, inPercent, inSeconds, shortened } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import { firstThat, roundness, type Tier, tiersOf } from '../setpoint/setpoint-choice.ts';
import { EQUAL, leastOf, type Pair } from '../setpoint/setpoint-search.ts';
import type { FamilyNeedle, FittedMember } from './family-needle.ts';

/** One needle and one pressure, with the best dwell of each member. */
export interface SharedSetting {
  readonly needle: FamilyNeedle;
  readonly members: readonly FittedMember[];
  readonly pressure: number; // [Pa]
  readonly pairs: readonly Pair[];
  /** The greatest predicted relative spread of a shot among the members [-]. */
  readonly worstSpread: number;
  /** The greatest |error|, each over a tenth of its member's tolerance [-]. */
  readonly worstError: number;
}

export interface SharedChoice {
  readonly setting: SharedSetting;
  /** Which criteria decided, in their order. */
  readonly why: readonly string[];
}

/** For a member without a tolerance, what an error is measured against [-]. */
const FINE_WITHOUT_TOLERANCE = 0.01;

/** Every needle and pressure that all of these members (by their numbers) can work with. */
export function sharedSettings(needles: readonly FamilyNeedle[], which: readonly number[]): SharedSetting[] {
  return needles.flatMap(needle => {
    const members = which.map(i => needle.members[i] ?? null).filter(member => member !== null);
    const [first] = members;
    if (first === undefined || members.length < which.length) return [];
    return [...first.pairs.keys()].flatMap(key => {
      const pairs = members.map(({ pairs }) => pairs.get(key)).filter(pair => pair !== undefined);
      if (pairs.length < members.length) return [];
      return [settingOf(needle, members, pairs)];
    });
  });
}

function settingOf(needle: FamilyNeedle, members: readonly FittedMember[], pairs: readonly Pair[]): SharedSetting {
  const spreads = members.map(({ settings }, i) => settings.spread.relative(pairs[i]!));
  const errors = members.map(
    ({ settings }, i) => Math.abs(pairs[i]!.error) / (settings.criteria.fine ?? FINE_WITHOUT_TOLERANCE),
  );
  const { pressure } = pairs[0]!;
  return { needle, members, pressure, pairs, worstSpread: Math.max(...spreads), worstError: Math.max(...errors) };
}

/** Worst spreads that differ by less than this are alike [-]: nobody could measure the difference. */
const ALIKE = 1.001;

/**
 * The needle and pressure that several members share; null of none. What a setting is asked for is what `choosePair` asks, of
 * every member: a small error (of none: the least worst one); a ramp that keeps the tolerance; first and last dwell practical; a
 * pressure that the regulator holds well; a criterion that no setting meets is given up, the last first. Of what is left
 * those of the least worst spread, to a thousandth; of these the roundest pressure, the least worst spread, the least worst
 * error, the lower pressure.
 *
 * A program is costly: settings are looked at in the order of their worst spread, and a criterion counts as met by none once many
 * in a row and a few far apart do not meet it (see `firstThat`).
 *
 * Evidence: tests compare with a search through every needle, pressure and program.
 */
export function chooseShared(settings: readonly SharedSetting[]): SharedChoice | null {
  const [first] = settings;
  if (first === undefined) return null;
  const fine = settings.filter(({ worstError }) => worstError <= 1 + EQUAL);
  const least = leastOf(settings, ({ worstError }) => worstError);
  const good = fine.length > 0 ? fine : settings.filter(({ worstError }) => worstError <= least + EQUAL);
  const tiers = tiersOf(asked(first));
  const most = Math.min(...first.members.map(member => member.programs()?.criterion?.most ?? 2));
  for (const tier of tiers) {
    const quick = good.filter(setting => meetsQuickly(setting, tier)).sort(bySpread);
    const steadiest = firstThat(quick, setting => meets(setting, tier, 'likely'), most);
    if (steadiest === null) continue;
    const alike = quick.filter(({ worstSpread }) => worstSpread <= steadiest.worstSpread * ALIKE);
    const rounds = new Map(alike.map(setting => [setting, roundnessOf(setting)]));
    alike.sort((a, b) => rounds.get(b)! - rounds.get(a)! || bySpread(a, b));
    const setting = firstThat(alike, found => meets(found, tier, 'likely') && meets(found, tier, 'of'), most);
    if (setting === null) continue;
    const why = [
      ...errorWhy(settings.length, good.length, fine.length > 0),
      ...tierWhy(tier, tiers[0]!, setting),
      `the least worst spread, ${inPercent(shortened(steadiest.worstSpread, 3))}: ${counted(alike.length, 'setting')} of ${quick.length} to a thousandth`,
      ...(alike.length > 1 ? ['the roundest pressure'] : []),
    ];
    return { setting, why };
  }
  return null;
}

const apart = (a: number, b: number) => (Math.abs(a - b) <= EQUAL ? 0 : a - b);

function bySpread(a: SharedSetting, b: SharedSetting): number {
  return apart(a.worstSpread, b.worstSpread) || apart(a.worstError, b.worstError) || a.pressure - b.pressure;
}

/** In the unit of the first member's station. */
function roundnessOf({ pressure, members }: SharedSetting): number {
  return roundness(pressure / members[0]!.settings.criteria.unit.size);
}

/** What can be asked for at all, of any member. */
function asked({ members }: SharedSetting): Parameters<typeof tiersOf>[0] {
  const programs = members.map(member => member.programs()?.criterion ?? null);
  const bands = members.map(({ settings }) => settings.criteria.band);
  return {
    program: programs.find(program => program !== null) ?? null,
    band: bands.find(band => band !== null) ?? null,
  };
}

const inside = (value: number, [low, high]: readonly [number, number]) => atLeast(value, low) && atMost(value, high);

/** What can be seen without a program. */
function meetsQuickly({ members, pairs }: SharedSetting, tier: Tier): boolean {
  return members.every(({ settings, programs }, i) => {
    const { band, practical } = settings.criteria;
    const pair = pairs[i]!;
    if (tier.band && band !== null && !inside(pair.pressure, band)) return false;
    if (!tier.practical) return true;
    return inside(pair.dwell, practical) && (!tier.ramp || (programs()?.criterion?.mayEndPractical(pair) ?? true));
  });
}

/** With programs that are quick and near enough, or exact. */
function meets({ members, pairs }: SharedSetting, tier: Tier, way: 'likely' | 'of'): boolean {
  if (!tier.ramp && !tier.practical) return true;
  return members.every((member, i) => {
    const criterion = member.programs()?.criterion;
    if (criterion == null) return true;
    const made = criterion[way](pairs[i]!);
    const { practical } = member.settings.criteria;
    if (tier.ramp && !(made?.keeps ?? false)) return false;
    return !tier.practical || made === null || (inside(made.first, practical) && inside(made.last, practical));
  });
}

function errorWhy(all: number, good: number, fine: boolean): string[] {
  if (good === all) return [];
  const count = `${good} of ${all} settings`;
  return [
    fine ? `error of every member at most a tenth of its tolerance: ${count}` : `the least worst error: ${count}`,
  ];
}

/** Which of the criteria had to be given up. */
function tierWhy(tier: Tier, first: Tier, { members }: SharedSetting): string[] {
  const [low, high] = members[0]!.settings.criteria.practical;
  const missed: [boolean, string][] = [
    [first.ramp && !tier.ramp, 'keeps the tolerance of every member in the stages of its station'],
    [
      first.practical && !tier.practical,
      `has first and last dwell from ${inSeconds(low)} to ${inSeconds(high)} for all`,
    ],
    [first.band && !tier.band, 'lies between 10 and 90 % of what the station may hold'],
  ];
  return missed.filter(([given]) => given).map(([, what]) => `no setting ${what}`);
}
