import { counted, inPercent, inSeconds, shortened } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import type { SetpointProgram } from './setpoint-program.ts';
import { EQUAL, leastOf, type Pair } from './setpoint-search.ts';

/** What a setting is chosen by, in this order; a criterion that no pair meets is passed over. */
export interface Criteria {
  /** Relative volume error within which pairs are as good as exact [-]; null: none is, and the least error decides. */
  readonly fine: number | null;
  /** The step program that starts with a pair; null where there is no run to speak of. */
  readonly program: ProgramCriterion | null;
  /** Dwells that are neither hasty nor tiresome [s]. */
  readonly practical: readonly [number, number];
  /** Pressures that a regulator holds well [Pa]; null where no limit is known. */
  readonly band: readonly [number, number] | null;
  /** Relative spread from one shot to the next [-]. */
  readonly spread: (pair: Pair) => number;
  /** The unit in which a pressure is round: its name, and its size [Pa]. */
  readonly unit: { readonly name: string; readonly size: number };
}

export interface ProgramCriterion {
  readonly of: (pair: Pair) => SetpointProgram | null;
  /** The same within about 1e-4, at a tenth of the cost: tells which pairs are worth it. */
  readonly likely: (pair: Pair) => SetpointProgram | null;
  /** Quick: false only where the last dwell of a program that keeps the tolerance lies above the practical ones. */
  readonly mayEndPractical: (pair: Pair) => boolean;
  readonly tolerance: number;
  readonly stages: number;
  /** So many programs are worked out before it counts as settled that there is none. */
  readonly most: number;
}

export interface Choice {
  readonly pair: Pair;
  /** Which criteria decided, in their order. */
  readonly why: readonly string[];
}

/** Pairs whose spread is at most this many times the least are alike. */
const ALIKE = 1.25;

/**
 * The setpoint among pairs, as an engineer would choose it; null of none. Among those whose error is small (of none: the
 * least error): a ramp that keeps the tolerance in the stages of the station; first and last dwell practical; the
 * pressure between 10 and 90 % of what the station may hold; spread from shot to shot near the least; the roundest
 * pressure; the dwell nearest the geometric middle of the practical ones; the least error; the lower pressure.
 *
 * A program is costly, so that programs are worked out only for pairs that would otherwise be chosen, and the least
 * spread is that of a pair whose program is likely to do; a criterion counts as met by none once `most` pairs in a row
 * and a few far apart do not meet it.
 */
export function choosePair(pairs: readonly Pair[], criteria: Criteria): Choice | null {
  if (pairs.length === 0) return null;
  const good = qualifiedPairs(pairs, criteria.fine);
  for (const tier of tiersOf(criteria)) {
    const found = chosenIn(good, tier, criteria);
    if (found !== null) return { pair: found.pair, why: [...errorWhy(pairs, good, criteria), ...found.why] };
  }
  return null;
}

/** Which of the criteria that a pair can miss are asked for. */
export interface Tier {
  readonly ramp: boolean;
  readonly practical: boolean;
  readonly band: boolean;
}

/** All of them first; the later a criterion stands, the sooner it is given up. */
export function tiersOf({ program, band }: Pick<Criteria, 'program' | 'band'>): Tier[] {
  const either = [true, false];
  return (program === null ? [false] : either).flatMap(ramp =>
    either.flatMap(practical => (band === null ? [false] : either).map(held => ({ ramp, practical, band: held }))),
  );
}

function qualifiedPairs(pairs: readonly Pair[], fine: number | null): readonly Pair[] {
  const good = fine === null ? [] : pairs.filter(pair => Math.abs(pair.error) <= fine + EQUAL);
  if (good.length > 0) return good;
  const least = leastOf(pairs, pair => Math.abs(pair.error));
  return pairs.filter(pair => Math.abs(pair.error) <= least + EQUAL);
}

function chosenIn(good: readonly Pair[], tier: Tier, criteria: Criteria): Choice | null {
  const { program, practical, band } = criteria;
  const inside = (value: number, [low, high]: readonly [number, number]) => atLeast(value, low) && atMost(value, high);
  const quick = good.filter(
    pair =>
      (!tier.band || band === null || inside(pair.pressure, band)) &&
      (!tier.practical || (inside(pair.dwell, practical) && (!tier.ramp || program!.mayEndPractical(pair)))),
  );
  let [rampFailed, practicalFailed] = [0, good.length - quick.length];
  const meets = (made: SetpointProgram | null): boolean => {
    const keeps = !tier.ramp || (made?.keeps ?? false);
    const holds = !tier.practical || made === null || (inside(made.first, practical) && inside(made.last, practical));
    if (!keeps) rampFailed++;
    if (keeps && !holds) practicalFailed++;
    return keeps && holds;
  };
  const asked = program !== null && (tier.ramp || tier.practical);
  const likely = (pair: Pair) => !asked || meets(program.likely(pair));
  const surely = (pair: Pair) => likely(pair) && (!asked || meets(program.of(pair)));
  const most = program?.most ?? 0;
  const spreads = new Map(quick.map(pair => [pair, criteria.spread(pair)]));
  const bySpread = [...quick].sort((a, b) => spreads.get(a)! - spreads.get(b)!);
  const steadiest = firstThat(bySpread, likely, most);
  if (steadiest === null) return null;
  const least = spreads.get(steadiest)!;
  const alike = quick.filter(pair => spreads.get(pair)! <= least * ALIKE + EQUAL);
  const ranked = ranking(alike, criteria);
  const pair = firstThat(ranked.pairs, surely, most);
  if (pair === null) return null;
  const why = [
    ...rampWhy(tier, criteria, rampFailed),
    ...practicalWhy(tier, criteria, practicalFailed),
    ...bandWhy(tier, criteria, good),
    ...spreadWhy(least, alike.length, quick.length),
    ...ranked.why(pair),
  ];
  return { pair, why };
}

/** The first pair that meets a costly condition; after `most` failures in a row a last look at pairs far apart. */
export function firstThat<P extends { readonly pressure: number }>(
  pairs: readonly P[],
  condition: (pair: P) => boolean,
  most: number,
): P | null {
  let failed = 0;
  for (const pair of pairs) {
    if (condition(pair)) return pair;
    if (++failed < most) continue;
    const byPressure = [...pairs].sort((a, b) => a.pressure - b.pressure);
    const far = Array.from({ length: FAR }, (_, i) => byPressure[Math.round((i * (pairs.length - 1)) / (FAR - 1))]!);
    if (!far.some(condition)) return null;
    failed = Number.NEGATIVE_INFINITY;
  }
  return null;
}

const FAR = 5;

interface Ranking {
  readonly pairs: readonly Pair[];
  why(chosen: Pair): string[];
}

/** The last criteria, which leave one pair. */
function ranking(alike: readonly Pair[], { unit, practical }: Criteria): Ranking {
  const middle = Math.sqrt(practical[0] * practical[1]);
  const rated = alike.map(pair => ({
    pair,
    round: roundness(pair.pressure / unit.size),
    distance: Math.abs(Math.log(pair.dwell / middle)),
    error: Math.abs(pair.error),
  }));
  const apart = (a: number, b: number) => (Math.abs(a - b) <= EQUAL ? 0 : a - b);
  rated.sort(
    (a, b) =>
      (a.round === b.round ? 0 : b.round - a.round) ||
      apart(a.distance, b.distance) ||
      apart(a.error, b.error) ||
      a.pair.pressure - b.pair.pressure,
  );
  const why = (chosen: Pair): string[] => {
    const own = rated.find(({ pair }) => pair === chosen)!;
    const asRound = rated.filter(({ round }) => round === own.round);
    const asNear = asRound.filter(({ distance }) => Math.abs(distance - own.distance) <= EQUAL);
    const asExact = asNear.filter(({ error }) => Math.abs(error - own.error) <= EQUAL);
    return [
      ...(asRound.length < rated.length ? [`the roundest pressure, a multiple of ${own.round} ${unit.name}`] : []),
      ...(asNear.length < asRound.length
        ? [`of ${asRound.length} so round the dwell nearest ${shortened(middle, 3)} s, the middle of practical_dwell`]
        : []),
      ...(asExact.length < asNear.length ? ['the least error'] : []),
      ...(asExact.length > 1 ? ['the lower pressure'] : []),
    ];
  };
  return { pairs: rated.map(({ pair }) => pair), why };
}

/** A number is a multiple of 1, 2 or 5 times a power of ten to this share. */
const ROUND_TO = 1e-6;

/** The greatest of 1, 2 and 5 times a power of ten of which a number is a multiple; the number itself where there is none. */
export function roundness(value: number): number {
  const top = Math.floor(Math.log10(value));
  for (let power = top; power >= top - 7; power--) {
    for (const digit of [5, 2, 1]) {
      const unit = Number(`${digit}e${power}`);
      const count = Math.round(value / unit);
      if (count > 0 && Math.abs(count * unit - value) <= ROUND_TO * value) return unit;
    }
  }
  return 0;
}

function errorWhy(pairs: readonly Pair[], good: readonly Pair[], { fine }: Criteria): string[] {
  if (good.length === pairs.length) return [];
  const count = `${good.length} of ${counted(pairs.length, 'pressure')}`;
  if (fine === null || Math.abs(good[0]!.error) > fine + EQUAL) return [`the least error: ${count}`];
  return [`error at most ${inPercent(fine)}, a tenth of the tolerance: ${count}`];
}

function rampWhy(tier: Tier, { program }: Criteria, failed: number): string[] {
  if (program === null) return [];
  const stages = `a ramp of ${program.stages === 1 ? '1 stage' : `at most ${program.stages} stages`}`;
  if (!tier.ramp) return [`no setting has ${stages} that keeps the tolerance of ${inPercent(program.tolerance)}`];
  return failed === 0 ? [] : [`${stages} keeps the tolerance of ${inPercent(program.tolerance)}`];
}

function practicalWhy(tier: Tier, { practical, program }: Criteria, failed: number): string[] {
  const what = program === null ? 'dwell' : 'first and last dwell';
  const range = `${what} from ${inSeconds(practical[0])} to ${inSeconds(practical[1])}`;
  if (!tier.practical) return [`no setting has its ${range}`];
  return failed === 0 ? [] : [`${range}, as process.practical_dwell asks`];
}

function bandWhy(tier: Tier, { band, unit }: Criteria, good: readonly Pair[]): string[] {
  if (band === null) return [];
  const [low, high] = band;
  const range = `from 10 to 90 % of ${shortened(high / 0.9 / unit.size)} ${unit.name}`;
  if (!tier.band) return [`no pressure is ${range}`];
  return good.every(({ pressure }) => pressure >= low && pressure <= high) ? [] : [`pressure ${range}`];
}

function spreadWhy(least: number, alike: number, all: number): string[] {
  if (alike === all) return [];
  return [
    `spread from shot to shot at most ${ALIKE} times the least, ${shortened(least * 100, 2)} %: ${alike} of ${counted(all, 'pressure')}`,
  ];
}
