import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inMillilitres, inMinutes, inSeconds, inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mixedByClock } from '../delivery/room.ts';
import { type KitLimits, kitLimits, noneFits, withinLimits } from '../mix/kit-limits.ts';
import { assumptionsOf } from './batch-assumptions.ts';
import { type BatchPlan, type BatchPrefer, planBatch } from './batch-plan.ts';
import { type MixKeys, type ScheduleKeys, scheduleOf } from './batch-schedule.ts';
import { clockDay, clockText } from './clock-text.ts';
import { mixingFindings, mixingTime } from './mixing-time.ts';
import { lastAgesByClock } from './room-ages.ts';
import { dispensedBy, SHOTS_PER_CONNECTOR, type SyringeRun, syringeRun } from './syringe-run.ts';
import { type Shift, shiftProblems, shiftText, type WorkClock, workClock } from './work-clock.ts';

export type { MixKeys, ScheduleKeys };

/** An amount of mixed resin as the user knows it. */
export type Amount =
  | { readonly kind: 'volume'; readonly value: number } // [m³]
  | { readonly kind: 'mass'; readonly value: number }; // [kg]

export interface Prices {
  readonly kitPrice?: number | undefined;
  readonly syringePrice?: number | undefined;
  readonly needlePrice?: number | undefined;
  readonly currency?: string | undefined;
}

export interface BatchOptions extends Prices {
  /** Good connectors wanted. */
  readonly connectors: number;
  /** Default 1. */
  readonly endsPerAssembly?: number | undefined;
  /** Share of the connectors started that turns out bad [-]; default 0. */
  readonly scrap?: number | undefined;
  /** Mixed amount of one kit; default: what fills one syringe. */
  readonly kit?: Amount | undefined;
  /** What mixing leaves in the cup: an amount, or a share of the kit [-]; default none. */
  readonly mixingLoss?: Amount | { readonly kind: 'share'; readonly value: number } | undefined;
  /** Shots per needle; default: as long as its syringe. */
  readonly needleLife?: number | undefined;
  /** [s since midnight]; default: the first shift's beginning, else 0. */
  readonly start?: number | undefined;
  readonly shifts?: readonly Shift[] | undefined;
  /** Default 1. */
  readonly stations?: number | undefined;
  readonly prefer?: BatchPrefer | undefined;
}

export interface CostKeys {
  readonly kits: number | null;
  readonly syringes: number | null;
  readonly needles: number | null;
  readonly total: number;
  readonly per_good_connector: number;
  readonly currency: string | null;
}

export interface BatchResult {
  readonly connectors: number;
  readonly ends_per_assembly: number;
  readonly assemblies: number;
  readonly connectors_started: number;
  readonly stations: number;
  readonly kits: number;
  readonly syringes: number;
  readonly needles: number;
  readonly kit_mL: number;
  readonly kit_g: number | null;
  /** Between these a kit can be mixed; null where the recipe sets no such limit. */
  readonly least_kit_g: number | null;
  readonly largest_kit_g: number | null;
  readonly syringes_per_kit: number;
  readonly fill_mL: number;
  /** The least fill with which every syringe of the schedule could do its work. */
  readonly least_fill_mL: number;
  readonly per_connector_uL: number;
  readonly connectors_per_syringe: number;
  readonly ready_after_min: number;
  /** How long somebody is busy with a kit. */
  readonly mixing_min: number;
  /** Of the kit that ages fastest; null where age ends nothing. */
  readonly last_age_min: number | null;
  readonly takt_s: number;
  readonly start: string;
  readonly start_day: number;
  readonly finish: string;
  readonly finish_day: number;
  readonly shifts: readonly {
    readonly from: string;
    readonly to: string;
    readonly from_min: number;
    readonly to_min: number;
  }[];
  readonly resin_mixed_mL: number;
  readonly resin_used_mL: number;
  readonly resin_wasted_mL: number;
  readonly resin_mixed_mg: number | null;
  readonly resin_used_mg: number | null;
  readonly resin_wasted_mg: number | null;
  readonly resin_wasted_pct: number;
  /** Where the waste stays; the parts are all of it. */
  readonly waste: {
    readonly mixing_loss_mL: number;
    readonly not_filled_mL: number;
    readonly prime_mL: number;
    readonly left_in_syringes_mL: number;
  };
  readonly mixes: readonly MixKeys[];
  readonly schedule: readonly ScheduleKeys[];
  /** The fewest kits that finish as early as can be. */
  readonly fastest: {
    readonly kits: number;
    readonly resin_wasted_mL: number;
    readonly finish: string;
    readonly finish_day: number;
  };
  readonly cost: CostKeys | null;
  readonly preferred: BatchPrefer;
  readonly assumptions: readonly string[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** More than that in one batch has to be split [connectors]. */
const MOST_CONNECTORS = 20_000;
const MOST_STATIONS = 50;
/** No station makes a connector faster, and a day holds no end of slots [s]. */
const LEAST_TAKT = 0.1;

/**
 * What a batch needs: kits, syringes and needles, when to mix, the resin used and wasted, and what it costs. The schedule
 * wastes the least resin while no syringe is used beyond its last age; see `planBatch`.
 */
export function batch(recipe: Recipe, options: BatchOptions): Outcome<BatchResult> {
  const takt = recipe.process?.takt?.value;
  const findings = missingFindings(recipe, options);
  findings.push(...mixingFindings(recipe));
  if (takt !== undefined) findings.push(...optionFindings(options, takt));
  if (takt === undefined || findings.length > 0) return { result: null, findings };
  const kit = kitOf(recipe, options);
  if (kit.result === null) return { result: null, findings: kit.findings };
  const { needleLife } = options;
  const shifts = options.shifts ?? [];
  const given = options.start ?? Math.min(...shifts.map(s => s.from), Number.POSITIVE_INFINITY);
  const start = Number.isFinite(given) ? given : 0;
  const placed =
    recipe.process?.room === undefined ? recipe : (mixedByClock(recipe, start, 'a batch').result ?? recipe);
  const run = syringeRun(placed, { fill: kit.result.fill, ...(needleLife !== undefined && { needleLife }) });
  if (run.result === null) return { result: null, findings: run.findings };
  if (run.result.capacity === 0) return { result: null, findings: run.findings };
  const started = startedOf(options);
  const clock = workClock({ start, shifts, takt, mixing: mixingTime(recipe) });
  const lastAgeAt = lastAgesByClock(recipe, run.result);
  const { capacity, readyAfter, lastAge } = run.result;
  const plan = planBatch({
    connectors: started,
    stations: options.stations ?? 1,
    syringesPerKit: kit.result.syringes,
    prefer: options.prefer ?? 'waste',
    ...{ capacity, readyAfter, lastAge, lastAgeAt, clock },
  });
  if (plan === null)
    return { result: null, findings: [...run.findings, noTime(clock, run.result, mixingTime(recipe))] };
  const parts = { recipe, options, kit: kit.result, run: run.result, started, clock, plan, lastAgeAt };
  return { result: resultOf(parts), findings: run.findings };
}

export interface Kit {
  /** Mixed [m³]. */ readonly volume: number;
  /** Left behind by mixing [m³]. */ readonly loss: number;
  /** What goes into each syringe [m³]. */ readonly fill: number;
  readonly syringes: number;
  readonly limits: KitLimits;
}

export function missingFindings(recipe: Recipe, { kit, mixingLoss }: BatchOptions): Finding[] {
  const out: Finding[] = [];
  if (recipe.station?.syringe === undefined) out.push(blockMissing('station.syringe', 'a batch'));
  if (recipe.process?.takt === undefined) out.push(blockMissing('process.takt', 'a batch'));
  const weighed = kit?.kind === 'mass' || mixingLoss?.kind === 'mass';
  if (weighed && recipe.resin?.density === undefined)
    out.push(blockMissing('resin.density', 'an amount given as a mass'));
  return out;
}

export function optionFindings(o: BatchOptions, takt: number): Finding[] {
  const counts = [
    ['connectors', o.connectors, MOST_CONNECTORS],
    ['ends-per-assembly', o.endsPerAssembly, MOST_CONNECTORS],
    ['stations', o.stations, MOST_STATIONS],
    ['needle-life', o.needleLife, Number.MAX_SAFE_INTEGER],
  ] as const;
  const out: string[] = [];
  for (const [name, value, most] of counts) {
    if (value === undefined || (Number.isInteger(value) && value >= 1 && value <= most)) continue;
    out.push(`${name} is ${value}, must be a whole number from 1 to ${most}`);
  }
  const shares = [
    ['scrap', o.scrap],
    ['mixing-loss', o.mixingLoss?.kind === 'share' ? o.mixingLoss.value : undefined],
  ] as const;
  for (const [name, value] of shares) {
    if (value !== undefined && !(value >= 0 && value < 1))
      out.push(`${name} is ${value * 100} %, must be from 0 % to below 100 %`);
  }
  const short = takt < LEAST_TAKT ? [taktTooShort(takt)] : [];
  out.push(...shiftProblems(o.shifts ?? [], takt));
  if (out.length === 0 && startedOf(o) > MOST_CONNECTORS) {
    out.push(`connectors with scrap come to ${startedOf(o)}, at most ${MOST_CONNECTORS} are planned at once`);
  }
  return [...short, ...out.map(message => batchFinding('batch-option', null, message))];
}

function taktTooShort(takt: number): Finding {
  const message = `the takt is ${inSeconds(takt)}, batches are planned for ${inSeconds(LEAST_TAKT)} and longer`;
  return batchFinding('batch-option', 'process.takt', message, 'write the time from one connector to the next');
}

/** Connectors to start: whole assemblies, and the scrap on top. */
export function startedOf({ connectors, endsPerAssembly = 1, scrap = 0 }: BatchOptions): number {
  const wanted = Math.ceil(connectors / endsPerAssembly) * endsPerAssembly;
  return Math.ceil((wanted / (1 - scrap)) * (1 - 1e-12)); // 97/0.97 is 100, not 101
}

/** The kit in volumes, and the whole fills it gives; one part fill where it does not give a whole one. */
export function kitOf(recipe: Recipe, { kit, mixingLoss }: BatchOptions): Outcome<Kit> {
  const fill = recipe.station!.syringe!.fill.value; // both asked for before
  const density = recipe.resin?.density?.value ?? 1;
  const volumeOf = (amount: Amount) => (amount.kind === 'mass' ? amount.value / density : amount.value);
  const share = mixingLoss?.kind === 'share' ? mixingLoss.value : 0;
  const fixed = mixingLoss === undefined || mixingLoss.kind === 'share' ? 0 : volumeOf(mixingLoss);
  const limits = kitLimits(recipe);
  const bounded = limits.least !== null || limits.largest !== null;
  if (bounded && recipe.resin?.density === undefined) {
    return { result: null, findings: [blockMissing('resin.density', 'the mass of a kit')] };
  }
  const wanted = kit === undefined ? (fill + fixed) / (1 - share) : volumeOf(kit);
  const unmixable = kit === undefined && !noneFits(limits) ? null : outsideFinding(limits, wanted * density);
  if (unmixable !== null) return { result: null, findings: [unmixable] };
  const volume = kit === undefined && bounded ? withinLimits(limits, wanted * density) / density : wanted;
  const loss = fixed + share * volume;
  const left = volume - loss;
  if (!(left > 0)) {
    const message = `a kit is ${inMillilitres(volume)}, mixing leaves ${inMillilitres(loss)} of it behind`;
    return { result: null, findings: [batchFinding('batch-kit-small', null, message)] };
  }
  const syringes = Math.floor((left / fill) * (1 + 1e-9));
  return {
    result: { volume, loss, fill: syringes === 0 ? left : fill, syringes: Math.max(1, syringes), limits },
    findings: [],
  };
}

/** A kit [kg] that is to be mixed, below or above what can be. */
function outsideFinding(limits: KitLimits, mass: number): Finding | null {
  const { least, largest } = limits;
  const small = least !== null && mass < least * (1 - 1e-9);
  const large = largest !== null && mass > largest * (1 + 1e-9);
  if (!small && !large && !noneFits(limits)) return null;
  const bounds = [
    ...(least === null ? [] : [`at least ${inWords(least, 'g')} for the scale to keep the ratio`]),
    ...(largest === null ? [] : [`at most ${inWords(largest, 'g')} for the heat`]),
  ];
  const message = `a kit would be ${inWords(mass, 'g')}, it has to be ${bounds.join(', and ')}`;
  return batchFinding('batch-kit-unmixable', 'resin.mix', message);
}

function noTime(clock: WorkClock, run: SyringeRun, mixing: number): Finding {
  const hours = clock.shifts.map(shiftText).join(', ');
  const message = `a kit takes ${inMinutes(mixing)} to mix and is used from ${inMinutes(run.readyAfter)} to ${inMinutes(run.lastAge)} after that begins, and the working hours (${hours}) leave no takt for that`;
  return batchFinding('batch-no-time', 'process.ready_after', message);
}

interface Parts {
  readonly recipe: Recipe;
  readonly options: BatchOptions;
  readonly kit: Kit;
  readonly run: SyringeRun;
  readonly started: number;
  readonly clock: WorkClock;
  readonly plan: BatchPlan;
  readonly lastAgeAt: ((mixedAt: number) => number) | undefined;
}

function resultOf(p: Parts): BatchResult {
  const { options, kit, run, started, clock, plan } = p;
  const lastAgeAt = p.lastAgeAt ?? (() => run.lastAge);
  const lastAge = Math.min(...plan.mixings.map(({ mixedAt }) => lastAgeAt(mixedAt)));
  const { mixes, schedule } = scheduleOf({ plan, run, clock, kit, connectors: started, lastAgeAt });
  const needles = schedule.reduce((sum, s) => sum + s.needles, 0);
  const mixed = mixes.length * kit.volume;
  const used = started * run.perConnector;
  const density = p.recipe.resin?.density?.value;
  const mg = (volume: number) => (density === undefined ? null : volume * density * 1e6);
  const finishAt = (end: number) => clock.slotTime(end - 1) + clock.takt;
  const inSyringes = schedule.length * kit.fill;
  const prime = needles * run.prime;
  const first = mixes[0]!;
  return {
    connectors: options.connectors,
    ends_per_assembly: options.endsPerAssembly ?? 1,
    assemblies: Math.ceil(options.connectors / (options.endsPerAssembly ?? 1)),
    connectors_started: started,
    stations: options.stations ?? 1,
    ...{ kits: mixes.length, syringes: schedule.length, needles },
    kit_mL: kit.volume * 1e6,
    kit_g: density === undefined ? null : kit.volume * density * 1e3,
    least_kit_g: kit.limits.least === null ? null : kit.limits.least * 1e3,
    largest_kit_g: kit.limits.largest === null ? null : kit.limits.largest * 1e3,
    syringes_per_kit: kit.syringes,
    fill_mL: kit.fill * 1e6,
    least_fill_mL: (mostDispensed(schedule, run) + run.leftOver) * 1e6,
    per_connector_uL: run.perConnector * 1e9,
    connectors_per_syringe: run.capacity,
    ready_after_min: run.readyAfter / 60,
    mixing_min: mixingTime(p.recipe) / 60,
    last_age_min: Number.isFinite(lastAge) ? lastAge / 60 : null,
    takt_s: clock.takt,
    ...{ start: first.at, start_day: first.day },
    ...{ finish: clockText(finishAt(plan.end)), finish_day: clockDay(finishAt(plan.end)) },
    shifts: clock.shifts.map(({ from, to }) => ({
      from: clockText(from),
      to: clockText(to),
      from_min: from / 60,
      to_min: to / 60,
    })),
    ...{ resin_mixed_mL: mixed * 1e6, resin_used_mL: used * 1e6, resin_wasted_mL: (mixed - used) * 1e6 },
    ...{ resin_mixed_mg: mg(mixed), resin_used_mg: mg(used), resin_wasted_mg: mg(mixed - used) },
    resin_wasted_pct: ((mixed - used) / mixed) * 100,
    waste: {
      mixing_loss_mL: mixes.length * kit.loss * 1e6,
      not_filled_mL: Math.max(0, mixed - mixes.length * kit.loss - inSyringes) * 1e6,
      prime_mL: prime * 1e6,
      left_in_syringes_mL: (inSyringes - prime - used) * 1e6,
    },
    ...{ mixes, schedule },
    fastest: {
      kits: plan.fastest.kits,
      resin_wasted_mL: (plan.fastest.kits * kit.volume - used) * 1e6,
      finish: clockText(finishAt(plan.fastest.end)),
      finish_day: clockDay(finishAt(plan.fastest.end)),
    },
    cost: costOf(options, { kits: mixes.length, syringes: schedule.length, needles }),
    preferred: options.prefer ?? 'waste',
    assumptions: assumptionsOf({ ...p, shotsPerConnector: SHOTS_PER_CONNECTOR }),
    models: run.models,
    defaults: run.defaults,
  };
}

/** What the fullest used syringe gives [m³]; more connectors never take less. */
function mostDispensed(schedule: readonly ScheduleKeys[], run: SyringeRun): number {
  return dispensedBy({ ...run, connectors: Math.max(...schedule.map(({ connectors }) => connectors)) });
}

/** What kits, syringes and needles cost, of those that have a price; null where none has. */
export function costOf(
  o: Prices & { connectors: number },
  n: { kits: number; syringes: number; needles: number },
): CostKeys | null {
  const prices = [o.kitPrice, o.syringePrice, o.needlePrice];
  if (prices.every(price => price === undefined)) return null;
  const part = (price: number | undefined, count: number) => (price === undefined ? null : price * count);
  const parts = {
    kits: part(o.kitPrice, n.kits),
    syringes: part(o.syringePrice, n.syringes),
    needles: part(o.needlePrice, n.needles),
  };
  const total = (parts.kits ?? 0) + (parts.syringes ?? 0) + (parts.needles ?? 0);
  return { ...parts, total, per_good_connector: total / o.connectors, currency: o.currency ?? null };
}
