import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inMinutes } from '../../diagnostics/number-words.ts';
import { resinFindings } from '../family/family.ts';
import type { FamilyMember } from '../family/family-needle.ts';
import { needleName } from '../needles/needle-choice.ts';
import {
  type BatchOptions,
  batch,
  type CostKeys,
  costOf,
  type Kit,
  kitOf,
  missingFindings,
  optionFindings,
  type Prices,
  startedOf,
} from './batch.ts';
import { clockDay, clockText } from './clock-text.ts';
import { mixingFindings, mixingTime } from './mixing-time.ts';
import { type PooledKit, type PooledMember, pooledPlan } from './pooled-plan.ts';
import { type SyringeRun, syringeRun } from './syringe-run.ts';

/** What may be said of a batch of several recipes; amounts and times as for one. */
export interface PooledOptions
  extends Prices,
    Pick<BatchOptions, 'scrap' | 'kit' | 'mixingLoss' | 'needleLife' | 'start' | 'shifts'> {
  /** Good connectors wanted of each recipe, in their order; one number is for each of them. */
  readonly connectors: readonly number[];
  /** From the last connector of one recipe to the first of the next [s]. */
  readonly changeover: number;
}

export interface PooledMemberKeys {
  readonly recipe: string;
  readonly name: string | null;
  readonly connectors: number;
  readonly connectors_started: number;
  readonly per_connector_uL: number;
  readonly first_at: string;
  readonly first_day: number;
  readonly last_at: string;
  readonly last_day: number;
}

export interface PooledScheduleKeys {
  readonly syringe: number;
  readonly kit: number;
  readonly parts: readonly {
    readonly recipe: string;
    readonly connectors: number;
    readonly first_at: string;
    readonly first_day: number;
    readonly last_at: string;
    readonly last_day: number;
    readonly first_age_min: number;
    readonly last_age_min: number;
  }[];
  readonly connectors: number;
  readonly needles: number;
  readonly dispensed_mL: number;
  readonly ended_by: 'empty' | 'too old' | 'batch';
}

export interface PooledResult {
  readonly resin: string | null;
  readonly members: readonly PooledMemberKeys[];
  readonly changeover_min: number;
  readonly mixing_min: number;
  readonly kits: number;
  readonly syringes: number;
  readonly needles: number;
  readonly kit_mL: number;
  readonly kit_g: number | null;
  readonly syringes_per_kit: number;
  readonly fill_mL: number;
  readonly resin_mixed_mL: number;
  readonly resin_used_mL: number;
  readonly resin_wasted_mL: number;
  readonly resin_wasted_pct: number;
  /** The same connectors with kits of their own for each recipe; null where one of them cannot be planned. */
  readonly alone: {
    readonly kits: number;
    readonly syringes: number;
    readonly resin_wasted_mL: number;
    readonly resin_wasted_pct: number;
  } | null;
  readonly start: string;
  readonly start_day: number;
  readonly finish: string;
  readonly finish_day: number;
  readonly mixes: readonly {
    readonly kit: number;
    readonly at: string;
    readonly day: number;
    readonly at_min: number;
    readonly for_syringes: readonly number[];
  }[];
  readonly schedule: readonly PooledScheduleKeys[];
  readonly cost: CostKeys | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface PooledOutcome {
  readonly result: PooledResult | null;
  /** What is to be said of each recipe, in their order. */
  readonly findings: readonly (readonly Finding[])[];
}

/**
 * What a batch of several recipes of one resin needs when they share kits and syringes: made one after the other, in their order, by one station,
 * with a changeover between them; against what each of them would need by itself. Syringes are filled as the recipe has them with which least
 * resin is mixed.
 */
export function pooledBatch(members: readonly FamilyMember[], options: PooledOptions): PooledOutcome {
  const wanted = members.map((_, i) => options.connectors[options.connectors.length === 1 ? 0 : i]!);
  const own = members.map((_, i): BatchOptions => ({ ...singleOptions(options), connectors: wanted[i]! }));
  const resins = resinFindings(members);
  const findings = members.map(({ recipe }, i) => {
    const takt = recipe.process?.takt?.value;
    const wrong = takt === undefined ? [] : optionFindings(own[i]!, takt);
    return [...resins[i]!, ...missingFindings(recipe, own[i]!), ...mixingFindings(recipe), ...wrong];
  });
  if (findings.some(found => found.length > 0)) return { result: null, findings };
  const { shifts = [], changeover } = options;
  const longest = Math.max(...shifts.map(({ from, to }) => to - from), 0);
  if (shifts.length > 0 && changeover > longest) {
    const message = `a changeover takes ${inMinutes(changeover)}, the longest shift ${inMinutes(longest)}`;
    return { result: null, findings: [[batchFinding('batch-option', null, message)]] };
  }
  const tries = syringesOf(members).map(i => plannedWith(i, { members, own, options }));
  const plans = tries.filter(made => 'plan' in made);
  const [first] = plans;
  if (first === undefined)
    return { result: null, findings: tries.flatMap(made => ('plan' in made ? [] : [made.findings]))[0]! };
  const least = plans.reduce((a, b) => (resinFirst(b, a) < 0 ? b : a), first);
  return {
    result: resultOf({ ...least, members, wanted, options }, own),
    findings: least.findings,
  };
}

/** Members whose syringe could be the one that is shared, each filling once: no more than the smallest barrel holds. */
function syringesOf(members: readonly FamilyMember[]): number[] {
  const syringes = members.map(({ recipe }) => recipe.station!.syringe!); // asked for before
  const barrel = Math.min(...syringes.map(({ barrel }) => barrel?.value ?? Number.POSITIVE_INFINITY));
  const fills = syringes.map(({ fill }) => fill.value);
  const fitting = fills.flatMap((fill, i) => (fill <= barrel && fills.indexOf(fill) === i ? [i] : []));
  return fitting.length > 0 ? fitting : [fills.indexOf(Math.min(...fills))];
}

type Planned = Pick<Parts, 'made' | 'plan' | 'kit' | 'runs'> & { readonly findings: readonly (readonly Finding[])[] };

/** Less resin mixed comes first, then the earlier finish. */
function resinFirst(a: Planned, b: Planned): number {
  const mixed = ({ plan, kit }: Planned) => plan.length * kit.volume;
  const apart = mixed(a) / mixed(b) - 1;
  return Math.abs(apart) > 1e-9 ? apart : a.plan.at(-1)!.end - b.plan.at(-1)!.end;
}

/** The plan with syringes filled as one of the members has them. */
function plannedWith(
  filled: number,
  { members, own, options }: Pick<Parts, 'members' | 'options'> & { own: readonly BatchOptions[] },
): Planned | { readonly findings: readonly (readonly Finding[])[] } {
  const at = (i: number, findings: readonly Finding[]) => ({
    findings: members.map((_, k) => (k === i ? findings : [])),
  });
  const kit = kitOf(members[filled]!.recipe, own[filled]!);
  if (kit.result === null) return at(filled, kit.findings);
  const { fill, volume } = kit.result;
  // the limits of a kit go with cup and waiting time of every recipe
  const others = members.map(
    ({ recipe }, i) => kitOf(recipe, { ...own[i]!, kit: { kind: 'volume', value: volume } }).findings,
  );
  if (others.some(found => found.length > 0)) return { findings: others };
  const { needleLife, changeover, shifts = [] } = options;
  const outcomes = members.map(({ recipe }) =>
    syringeRun(recipe, { fill, ...(needleLife !== undefined && { needleLife }) }),
  );
  const runs = outcomes.map(({ result }) => result).filter(run => run !== null);
  const findings = outcomes.map(outcome => outcome.findings);
  if (runs.length < members.length) return { findings };
  const made = members.map(
    ({ recipe }, i): PooledMember => ({
      count: startedOf(own[i]!),
      takt: recipe.process!.takt!.value,
      run: runs[i]!,
      needle: needleOf(recipe.needle),
    }),
  );
  const start = options.start ?? Math.min(...shifts.map(shift => shift.from), Number.POSITIVE_INFINITY);
  const plan = pooledPlan({
    ...{ members: made, changeover, shifts, start: Number.isFinite(start) ? start : 0, mixing: longestMixing(members) },
    ...{ usable: fill - Math.max(...runs.map(run => run.leftOver)), syringesPerKit: kit.result.syringes },
  });
  if (plan !== null) return { made, plan, kit: kit.result, runs, findings };
  const message = 'no kit of these recipes can be used within the working hours before it is too old';
  return at(0, [batchFinding('batch-no-time', 'process.ready_after', message)]);
}

function singleOptions({
  scrap,
  kit,
  mixingLoss,
  needleLife,
  start,
  shifts,
}: PooledOptions): Omit<BatchOptions, 'connectors'> {
  return { scrap, kit, mixingLoss, needleLife, start, shifts };
}

/** A kit may be for any of them. */
function longestMixing(members: readonly FamilyMember[]): number {
  return Math.max(...members.map(({ recipe }) => mixingTime(recipe)));
}

/** What makes a needle another one. */
function needleOf(needle: FamilyMember['recipe']['needle']): string {
  return needle === undefined
    ? ''
    : JSON.stringify([needleName(needle), needle], (key, value) =>
        key === 'path' || key === 'source' ? undefined : value,
      );
}

interface Parts {
  readonly members: readonly FamilyMember[];
  readonly made: readonly PooledMember[];
  readonly plan: readonly PooledKit[];
  readonly kit: Kit;
  readonly runs: readonly SyringeRun[];
  readonly wanted: readonly number[];
  readonly options: PooledOptions;
}

function resultOf(p: Parts, own: readonly BatchOptions[]): PooledResult {
  const { members, made, plan, kit, runs } = p;
  const schedule = plan.flatMap((mixed, k) =>
    mixed.syringes.map(syringe => ({ syringe, kit: k + 1, mixedAt: mixed.mixedAt })),
  );
  const needles = schedule.reduce((sum, { syringe }) => sum + syringe.needles, 0);
  const mixed = plan.length * kit.volume;
  const used = made.reduce((sum, { count, run }) => sum + count * run.perConnector, 0);
  const density = members[0]!.recipe.resin?.density?.value;
  const end = plan.at(-1)!.end;
  const moment = (time: number) => ({ at: clockText(time), day: clockDay(time) });
  const first = moment(plan[0]!.mixedAt);
  return {
    resin: members[0]!.recipe.resin?.name ?? null,
    members: members.map(({ file, recipe }, i) => {
      const parts = schedule.flatMap(({ syringe }) => syringe.parts.filter(({ member }) => member === i));
      const [from, to] = [moment(parts[0]!.firstAt), moment(parts.at(-1)!.lastAt)];
      return {
        ...{ recipe: file, name: recipe.name ?? null, connectors: p.wanted[i]!, connectors_started: made[i]!.count },
        per_connector_uL: made[i]!.run.perConnector * 1e9,
        ...{ first_at: from.at, first_day: from.day, last_at: to.at, last_day: to.day },
      };
    }),
    changeover_min: p.options.changeover / 60,
    mixing_min: longestMixing(members) / 60,
    ...{ kits: plan.length, syringes: schedule.length, needles },
    kit_mL: kit.volume * 1e6,
    kit_g: density === undefined ? null : kit.volume * density * 1e3,
    syringes_per_kit: kit.syringes,
    fill_mL: kit.fill * 1e6,
    ...{ resin_mixed_mL: mixed * 1e6, resin_used_mL: used * 1e6, resin_wasted_mL: (mixed - used) * 1e6 },
    resin_wasted_pct: ((mixed - used) / mixed) * 100,
    alone: aloneOf(members, own),
    ...{ start: first.at, start_day: first.day, finish: clockText(end), finish_day: clockDay(end) },
    mixes: plan.map(({ mixedAt }, k) => ({
      ...{ kit: k + 1, ...moment(mixedAt), at_min: mixedAt / 60 },
      for_syringes: schedule.flatMap((row, i) => (row.kit === k + 1 ? [i + 1] : [])),
    })),
    schedule: schedule.map((row, i) => scheduleKeys(members, row, i + 1)),
    cost: costOf(
      { ...p.options, connectors: p.wanted.reduce((a, b) => a + b) },
      { kits: plan.length, syringes: schedule.length, needles },
    ),
    models: runs[0]!.models,
    defaults: runs[0]!.defaults,
  };
}

function scheduleKeys(
  members: readonly FamilyMember[],
  { syringe, kit, mixedAt }: { syringe: PooledKit['syringes'][number]; kit: number; mixedAt: number },
  number: number,
): PooledScheduleKeys {
  return {
    ...{ syringe: number, kit },
    parts: syringe.parts.map(({ member, connectors, firstAt, lastAt }) => ({
      ...{ recipe: members[member]!.file, connectors },
      ...{ first_at: clockText(firstAt), first_day: clockDay(firstAt) },
      ...{ last_at: clockText(lastAt), last_day: clockDay(lastAt) },
      ...{ first_age_min: (firstAt - mixedAt) / 60, last_age_min: (lastAt - mixedAt) / 60 },
    })),
    connectors: syringe.parts.reduce((sum, { connectors }) => sum + connectors, 0),
    ...{ needles: syringe.needles, dispensed_mL: syringe.dispensed * 1e6, ended_by: syringe.endedBy },
  };
}

function aloneOf(members: readonly FamilyMember[], own: readonly BatchOptions[]): PooledResult['alone'] {
  const each = members.map(({ recipe }, i) => batch(recipe, own[i]!).result);
  let [kits, syringes, mixed, wasted] = [0, 0, 0, 0];
  for (const one of each) {
    if (one === null) return null;
    kits += one.kits;
    syringes += one.syringes;
    mixed += one.resin_mixed_mL;
    wasted += one.resin_wasted_mL;
  }
  return { kits, syringes, resin_wasted_mL: wasted, resin_wasted_pct: (wasted / mixed) * 100 };
}
