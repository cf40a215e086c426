import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { fromState, type RandomSource, randomSource } from '../../numeric/random.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Setting } from '../delivery/operating-point.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import {
  COURSE_START,
  type Course,
  courseAfter,
  courseBefore,
  driftOf,
  earlierOf,
} from '../follow/thickness-course.ts';
import { rampPlan } from '../program/ramp-shots.ts';
import { thicknessReading } from '../release/filtered-thickness.ts';
import { type JudgedCheck, judgeCheck, type RunAhead } from '../release/judge-syringe.ts';
import { checkPlace, preparedCheck, type SyringeCheck } from '../release/measured-syringe.ts';
import type { ReasonCode } from '../release/release-decision.ts';
import { scatterFault } from '../release/release-faults.ts';
import type { ReadVolumes } from '../release/release-readings.ts';
import { type ShotLeft, settingsOf, type Target } from '../release/shots-left.ts';
import type { SyringeModel } from '../release/syringe-model.ts';
import type { Program } from '../setpoint/program-in-force.ts';
import { type SampledLine, type ScaleOf, sampledLine } from './line-sample.ts';
import { quickSyringe } from './quick-syringe.ts';
import { keptRunAhead } from './run-ahead.ts';
import { exactVolumes, runCurve } from './run-curve.ts';
import { RunTally, type TallySums } from './run-tally.ts';
import { type CheckMethod, type DotOfLot, type SimulatedReading, simulatedReading } from './syringe-reading.ts';

export interface RehearsalOptions {
  readonly method: CheckMethod;
  readonly syringes: number;
  readonly seed: number;
  readonly scale?: ScaleOf | undefined;
  /** Syringes that share a lot, and a needle; default: one of its own for every syringe. */
  readonly shared?: SharedParts | undefined;
  /** Takes shot and margin of every connector [m³]. */
  readonly keep?: ((shot: number, margin: number) => void) | undefined;
  /** Told the share done, about a hundred times. */
  readonly progress?: ((share: number) => void) | undefined;
}

/** A line on which one syringe follows the other, until the lot of resin is used up and another line begins. */
export interface SharedParts {
  /** Syringes of one lot. */
  readonly perLot: number;
  /** Syringes through one needle; another lot has another needle. */
  readonly perNeedle: number;
  /** Checks before of the same lot or needle count, as in `release --log`. */
  readonly follow: boolean;
}

/** Nothing shared, nothing followed. */
export const ALONE: SharedParts = { perLot: 1, perNeedle: 1, follow: false };

/** What became of the syringes of one lot. */
export interface LotCount {
  syringes: number;
  rejected: number;
  trimmed: number;
  /** Rejected though the program for its true thickness keeps every connector inside. */
  falseRejects: number;
  /** Released with a connector outside. */
  missed: number;
  /** Connectors of those released, and how many of them are outside. */
  connectors: number;
  outside: number;
}

/** What became of the syringes of a rehearsal. */
export interface Rehearsal {
  readonly syringes: number;
  /** Lot by lot: what syringes of one lot have in common makes them clusters. */
  readonly lots: readonly LotCount[];
  /** How often a rejected syringe had each reason. */
  readonly reasons: ReadonlyMap<ReasonCode, number>;
  /** Connectors of the released syringes. */
  readonly tally: RunTally;
  /** Draws taken again because a value could not be, and because the needle found no seat. */
  readonly redrawn: number;
  readonly noSeat: number;
  readonly interfering: number;
  readonly shotsPerReading: number;
  readonly target: Target;
  readonly shotsPlanned: number;
  /** The way shots are predicted: `quick` along curves, `exact` by the models one by one. */
  readonly way: 'quick' | 'exact';
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** What the syringes of one block give: plain data, which adds up over the blocks. */
export interface RehearsalPart {
  readonly lots: readonly LotCount[];
  readonly reasons: readonly (readonly [ReasonCode, number])[];
  readonly tally: TallySums;
  readonly redrawn: number;
  readonly noSeat: number;
  readonly interfering: number;
}

/** What a rehearsal knows of its plan: plain data. */
export type RehearsalFacts = Pick<
  Rehearsal,
  'syringes' | 'shotsPerReading' | 'target' | 'shotsPlanned' | 'way' | 'models' | 'defaults'
>;

/** A recipe made ready to be rehearsed: what no syringe changes. */
export interface RehearsalPlan {
  readonly recipe: Recipe;
  readonly line: SampledLine;
  readonly reading: SimulatedReading;
  readonly take: (read: ReadVolumes) => SyringeCheck;
  readonly model: SyringeModel;
  readonly program: Program;
  readonly ahead: RunAhead & { readonly apart: number };
  readonly target: Target;
  /** How far ln(thickness) wanders in the square root of an hour [-]. */
  readonly drift: number;
  /** From the check of a syringe to that of the next on one line [s]. */
  readonly period: number;
  readonly way: Rehearsal['way'];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** A recipe made ready to be rehearsed, the check standing at the first shot; null with findings where something lacks. */
export function planRehearsal(
  recipe: Recipe,
  { method, scale }: Pick<RehearsalOptions, 'method' | 'scale'>,
): Outcome<RehearsalPlan> {
  const place = checkPlace(recipe, { shot: 1 });
  if (place.result === null) return { result: null, findings: place.findings };
  const { program, target, place: start } = place.result;
  const prepared = preparedCheck(recipe, { shot: 1 }, place.result);
  const findings: Finding[] = [...place.findings, ...prepared.findings];
  const density = recipe.resin?.density;
  let line: SampledLine | null = null;
  const trueDensity = () => (density === undefined ? 1 : line!.relative(density));
  const reading = simulatedReading(recipe, method, { aim: target.aim, density: trueDensity });
  findings.push(...reading.findings);
  if (reading.result === null) return { result: null, findings };
  // What the check takes is of the size of the aim, the same for every syringe.
  const from = { ...start, dispensed: start.dispensed + target.aim * reading.result.shots * method.readings };
  const plan = rampPlan(recipe, { by: 'dwell', fixed: program.pressure, from });
  findings.push(...plan.findings);
  if (plan.result === null) return { result: null, findings };
  const shots = plan.result.shots.map(({ shot, age, point }) => ({ shot, age, dispensed: point.dispensed }));
  const dwells = settingsOf(program, shots).map(({ dwell }) => dwell);
  const setting = { pressure: program.pressure, dwell: dwells[0]! };
  const sampled = sampledLine(recipe, setting, scale);
  findings.push(...sampled.findings);
  if (sampled.result === null) return { result: null, findings };
  line = sampled.result;
  const exact = prepared.result(ONE_READING).model;
  const quick = quickSyringe(recipe, exact, { pressure: program.pressure, shots, dwells });
  const model = quick ?? exact;
  const ahead = keptRunAhead(recipe, { model, program, plan: plan.result, target });
  const { point } = plan.result.shots[0]!;
  const takt = recipe.process!.takt!.value; // a ramp has asked for it
  const result: RehearsalPlan = {
    ...{ recipe, line, reading: reading.result, model, program, ahead, target },
    take: read => ({ ...prepared.result(read), model }),
    drift: driftOf(recipe),
    period: shots.at(-1)!.age - shots[0]!.age + takt,
    way: quick === null ? 'exact' : 'quick',
    models: point.models,
    defaults: [
      ...reading.result.defaults,
      ...(recipe.process?.drift === undefined ? ['process.drift: 1 % in an hour'] : []),
      ...point.defaults,
      ...takenByDefault(recipe, 'run'),
    ],
  };
  return { result, findings };
}

/** A reading that stands for none: to ask for what does not depend on readings. */
const ONE_READING: ReadVolumes = {
  ...{ kind: 'masses', readings: [1], shots: 1, shotsOfGauge: false, volumes: [1e-9], shared: [] },
  ...{ readingScatter: 0, models: [], defaults: [] },
};

/** Draws for one syringe or connector before the tolerances are given up. */
const MOST_DRAWS = 100;

/**
 * A line that is rehearsed: every syringe with a lot and a needle of its own is primed, checked with readings as they come about,
 * released or not by the decision of `release`, and run by its program over its whole run. Null where hardly a draw is possible.
 *
 * Every syringe has a stream of random numbers of its own, so that two rehearsals of one seed differ by what was changed alone.
 */
export function rehearsal(plan: RehearsalPlan, options: RehearsalOptions): Rehearsal | null {
  const parts: RehearsalPart[] = [];
  for (let block = 0; block < blocksOf(plan, options); block++) {
    const part = rehearsalPart(plan, options, block);
    if (part === null) return null;
    parts.push(part);
  }
  return wholeRehearsal(rehearsalFacts(plan, options), parts);
}

/** Syringes of a block, rounded up to whole lots. */
const BLOCK = { quick: 50, exact: 5 };

function blockSize({ way }: RehearsalPlan, { shared }: RehearsalOptions): number {
  const { perLot } = shared ?? ALONE;
  return Math.ceil(BLOCK[way] / perLot) * perLot;
}

/** Blocks of syringes that have nothing in common, and can be run apart from each other. */
export function blocksOf(plan: RehearsalPlan, options: RehearsalOptions): number {
  return Math.ceil(options.syringes / blockSize(plan, options));
}

/** The syringes of one block, counted from 0, whatever ran before; null where hardly a draw is possible. */
export function rehearsalPart(plan: RehearsalPlan, options: RehearsalOptions, block: number): RehearsalPart | null {
  const size = blockSize(plan, options);
  const run = new Run(plan, options);
  return run.all(block * size, Math.min(options.syringes, (block + 1) * size)) ? run.result() : null;
}

export function rehearsalFacts(plan: RehearsalPlan, { syringes }: RehearsalOptions): RehearsalFacts {
  const { target, way, models, defaults } = plan;
  const shots = { shotsPerReading: plan.reading.shots, shotsPlanned: plan.ahead.shots.length };
  return { syringes, ...shots, target, way, models, defaults };
}

/** The rehearsal of all blocks, in their order. */
export function wholeRehearsal(facts: RehearsalFacts, parts: readonly RehearsalPart[]): Rehearsal {
  const tally = new RunTally(facts.target.aim, null);
  const reasons = new Map<ReasonCode, number>();
  for (const part of parts) {
    tally.addSums(part.tally);
    for (const [code, count] of part.reasons) reasons.set(code, (reasons.get(code) ?? 0) + count);
  }
  const total = (what: 'redrawn' | 'noSeat' | 'interfering') => parts.reduce((sum, part) => sum + part[what], 0);
  return {
    ...{ ...facts, lots: parts.flatMap(({ lots }) => lots), reasons, tally },
    ...{ redrawn: total('redrawn'), noSeat: total('noSeat'), interfering: total('interfering') },
  };
}

class Run {
  private readonly tally: RunTally;
  private readonly silent: RunTally;
  private readonly lots: LotCount[] = [];
  private readonly reasons = new Map<ReasonCode, number>();
  private redrawn = 0;
  /** What the checks of this lot have told. */
  private course: Course = COURSE_START;
  /** What all dots of this lot have in common, where syringes share it. */
  private resin: DotOfLot | undefined;
  /** How far ln(thickness) has wandered on this line, at the check of the syringe and at that of the next. */
  private wander = { now: 0, next: null as number | null };
  /** What the line had counted when this block began. */
  private readonly before: Pick<SampledLine, 'unseated' | 'interfering'>;

  constructor(
    private readonly plan: RehearsalPlan,
    private readonly options: RehearsalOptions,
  ) {
    this.tally = new RunTally(plan.target.aim, options.keep ?? null);
    this.silent = new RunTally(plan.target.aim, null);
    const { unseated, interfering } = plan.line;
    this.before = { unseated, interfering };
  }

  /** Syringes from one to before another; false where hardly any draw is possible. */
  all(from: number, to: number): boolean {
    const { syringes, seed, progress } = this.options;
    const seeds = randomSource(seed);
    const stride = Math.ceil(syringes / 100);
    for (let i = 0; i < to; i++) {
      const state = [seeds.uint32(), seeds.uint32(), seeds.uint32(), seeds.uint32() | 1] as const;
      if (i < from) continue;
      if (!this.syringe(i, fromState(state))) return false;
      if (progress !== undefined && (i + 1) % stride === 0) progress((i + 1) / syringes);
    }
    return true;
  }

  private syringe(i: number, random: RandomSource): boolean {
    const { line, reading, ahead, program } = this.plan;
    if (!this.drawSyringe(i, random)) return false;
    const lot = this.lots.at(-1)!;
    lot.syringes++;
    const first = ahead.shots[0]!;
    const setting = settingsOf(program, ahead.shots)[0]!;
    const thick = this.thickness(first, setting);
    const wandered = thick === null ? 1 : this.ratio(thick, this.wander.now, { moment: first, setting });
    let possible = true;
    const laid = () => {
      let volume = 0;
      for (let k = 0; k < reading.shots; k++) {
        possible &&= this.draw(() => line.press(random));
        volume += or0(line.shot(first, setting.dwell) * wandered);
      }
      return volume;
    };
    const read = reading.read(laid, random, this.resin);
    if (!possible) return false;
    const judged = read === null ? null : this.judge(i, read);
    if (judged === null || judged.decision === 'reject' || judged.thickness === null) {
      lot.rejected++;
      const against = (judged?.reasons ?? []).filter(({ code }) => code !== 'earlier');
      for (const { code } of against) this.reasons.set(code, (this.reasons.get(code) ?? 0) + 1);
      const due = thick === null ? null : ahead.trimmed(thick.true);
      if (due === null || thick === null) return true;
      const seen = this.connectors(random, { ...due, thick, read: thick.true, trimmed: true, tally: this.silent });
      if (seen === 0) lot.falseRejects++;
      return seen !== null;
    }
    const { trim } = judged;
    if (trim !== null) lot.trimmed++;
    const estimate = (judged.filtered ?? judged.thickness).estimate;
    const shots = trim?.shots ?? ahead.shots;
    const made = { program: trim?.program ?? program, shots, trimmed: trim !== null, tally: this.tally };
    const seen = this.connectors(random, {
      ...made,
      ...{ read: estimate, thick: thick ?? { drawn: estimate, true: estimate } },
    });
    if (seen === null) return false;
    if (seen > 0) lot.missed++;
    lot.outside += seen;
    lot.connectors += shots.length;
    return true;
  }

  /** A syringe that can be, the first of another line where its lot is used up. */
  private drawSyringe(i: number, random: RandomSource): boolean {
    const { line, reading } = this.plan;
    const { perLot, perNeedle } = this.options.shared ?? ALONE;
    const place = i % perLot;
    if (place === 0) {
      const none = { syringes: 0, rejected: 0, trimmed: 0, falseRejects: 0, missed: 0, connectors: 0, outside: 0 };
      this.lots.push(none);
      this.course = COURSE_START;
    }
    if (perLot === 1) return this.draw(() => line.syringe(random));
    const now = place === 0 ? 0 : this.wander.next!;
    this.wander = { now, next: now + wanderOf(this.plan.drift, this.plan.period) * random.normal() };
    if (place === 0) this.resin = reading.lot(random);
    return this.draw(() => line.nextSyringe(random, { lot: place === 0, needle: place % perNeedle === 0 }));
  }

  private draw(once: () => boolean): boolean {
    for (let i = 0; i < MOST_DRAWS; i++) {
      if (once()) return true;
      this.redrawn++;
    }
    return false;
  }

  /** How thick the syringe was drawn, and how thick it truly is at its check; null where no thickness is like it. */
  private thickness(first: ShotLeft, setting: Setting): TrueThickness | null {
    const { line, model } = this.plan;
    const still = or0(line.still(first, setting.dwell));
    const drawn = still > 0 ? model.thicknessOf(still, first, setting) : null;
    return drawn === null ? null : { drawn, true: drawn * Math.exp(this.wander.now) };
  }

  /** A shot of a line that has wandered so far, over the same as it was drawn [-]. */
  private ratio({ drawn }: TrueThickness, wander: number, p: { moment: ShotLeft; setting: Setting }): number {
    if (wander === 0) return 1;
    const { model } = this.plan;
    return model.deliver(drawn * Math.exp(wander), p.moment, p.setting) / model.deliver(drawn, p.moment, p.setting);
  }

  /** As `release` decides, with the checks before where they are followed. */
  private judge(i: number, read: ReadVolumes): JudgedCheck | null {
    const { plan } = this;
    const check = plan.take(read);
    const { shared } = this.options;
    if (shared?.follow !== true) return judgeCheck(check, plan.ahead);
    const mark = {
      ...{ lot: 'one', needle: String(Math.floor((i % shared.perLot) / shared.perNeedle)), syringe: String(i) },
      time: (i % shared.perLot) * plan.period,
    };
    const before = courseBefore(plan.recipe, this.course, mark, check.spread);
    const sound = scatterFault(check.scatter).length === 0;
    this.course = courseAfter(before, sound ? thicknessReading(check) : null).after;
    return judgeCheck({ ...check, earlier: earlierOf(before) }, plan.ahead);
  }

  /** Runs a program over its shots; how many connectors are outside, null where hardly a draw is possible. */
  private connectors(
    random: RandomSource,
    p: {
      program: Program;
      shots: readonly ShotLeft[];
      thick: TrueThickness;
      /** As the check has it. */
      read: number;
      trimmed: boolean;
      tally: RunTally;
    },
  ): number | null {
    const { line, model, target, period } = this.plan;
    const settings = settingsOf(p.program, p.shots);
    const start = p.shots[0]!.age;
    const asThick = p.shots.map((moment, i) => model.deliver(p.thick.true, moment, settings[i]!));
    const volumes = runCurve(line, { shots: p.shots, settings, asThick }) ?? exactVolumes(line, p.shots, settings);
    const { now, next } = this.wander;
    let outside = 0;
    let wander = now;
    for (let i = 0; i < p.shots.length; i++) {
      const moment = p.shots[i]!;
      const setting = settings[i]!;
      if (!this.draw(() => line.connector(random))) return null;
      if (i > 0) {
        const before = p.shots[i - 1]!.age;
        const time = moment.age - before;
        if (next === null) wander += wanderOf(this.plan.drift, time) * random.normal();
        else wander = this.towards(next, { from: wander, time, left: start + period - before }, random);
      }
      const wandered = this.ratio(p.thick, wander, { moment, setting });
      const made = {
        aim: target.aim,
        asRecipe: model.deliver(1, moment, setting),
        asRead: model.deliver(p.read, moment, setting),
        asThick: asThick[i]!,
        still: or0(volumes.still(i) * wandered),
        shot: or0(volumes.shot(i) * wandered),
      };
      if (p.tally.add(made, p.trimmed, line.window)) outside++;
    }
    return outside;
  }

  /** A step of a random walk whose end is known: a Brownian bridge. */
  private towards(
    end: number,
    { from, time, left }: { from: number; time: number; left: number },
    random: RandomSource,
  ): number {
    const share = time / left;
    return from + (end - from) * share + wanderOf(this.plan.drift, time * (1 - share)) * random.normal();
  }

  result(): RehearsalPart {
    const { lots, reasons, tally, redrawn } = this;
    const unseated = this.plan.line.unseated - this.before.unseated;
    const interfering = this.plan.line.interfering - this.before.interfering;
    return {
      ...{ lots, reasons: [...reasons], tally: tally.sums() },
      ...{ redrawn: redrawn - unseated, noSeat: unseated, interfering },
    };
  }
}

/** How thick a syringe was drawn, and how thick it is at its check: the line has wandered by then. */
interface TrueThickness {
  readonly drawn: number;
  readonly true: number;
}

const HOUR = 3600;

/** Standard deviation of what ln(thickness) wanders in a time [s]. */
export function wanderOf(drift: number, time: number): number {
  return drift * Math.sqrt(Math.max(0, time) / HOUR);
}

/** What the models cannot say: a resin past its gel point gives nothing. */
function or0(volume: number): number {
  return Number.isNaN(volume) ? 0 : volume;
}
