import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { fromState, type RandomSource, randomSource } from '../../numeric/random.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { DRIFT } from '../follow/thickness-course.ts';
import { rampPlan } from '../program/ramp-shots.ts';
import { judgeCheck, type RunAhead } from '../release/judge-syringe.ts';
import { checkPlace, preparedCheck, type SyringeCheck } from '../release/measured-syringe.ts';
import type { ReasonCode } from '../release/release-decision.ts';
import type { ReadVolumes } from '../release/release-readings.ts';
import { type ShotLeft, settingsOf, type Target } from '../release/shots-left.ts';
import type { SyringeModel } from '../release/syringe-model.ts';
import type { Program } from '../setpoint/program-in-force.ts';
import { type SampledLine, type ScaleOf, sampledLine } from './line-sample.ts';
import { quickSyringe } from './quick-syringe.ts';
import { keptRunAhead } from './run-ahead.ts';
import { RunTally } from './run-tally.ts';
import { type CheckMethod, type SimulatedReading, simulatedReading } from './syringe-reading.ts';

export interface RehearsalOptions {
  readonly method: CheckMethod;
  readonly syringes: number;
  readonly seed: number;
  readonly scale?: ScaleOf | undefined;
  /** Takes shot and margin of every connector [m³]. */
  readonly keep?: ((shot: number, margin: number) => void) | undefined;
  /** Told the share done, about a hundred times. */
  readonly progress?: ((share: number) => void) | undefined;
}

/** What became of the syringes of a rehearsal. */
export interface Rehearsal {
  readonly syringes: number;
  readonly rejected: number;
  readonly trimmed: number;
  /** Rejected though the program for its true thickness keeps every connector inside. */
  readonly falseRejects: number;
  /** Released with a connector outside. */
  readonly missed: number;
  /** How often a rejected syringe had each reason. */
  readonly reasons: ReadonlyMap<ReasonCode, number>;
  /** Connectors of the released syringes. */
  readonly tally: RunTally;
  /** Connectors outside, and connectors, of each released syringe. */
  readonly outside: readonly number[];
  readonly sizes: readonly number[];
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
  const result: RehearsalPlan = {
    ...{ recipe, line, reading: reading.result, model, program, ahead, target },
    take: read => ({ ...prepared.result(read), model }),
    drift: recipe.process?.drift?.value ?? DRIFT,
    way: quick === null ? 'exact' : 'quick',
    models: point.models,
    defaults: [
      ...reading.result.defaults,
      ...(recipe.process?.drift === undefined ? ['process.drift: 1 % in an hour'] : []),
      ...point.defaults,
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
  const run = new Run(plan, options);
  return run.all() ? run.result() : null;
}

class Run {
  private readonly tally: RunTally;
  private readonly silent: RunTally;
  private readonly outside: number[] = [];
  private readonly sizes: number[] = [];
  private readonly reasons = new Map<ReasonCode, number>();
  private rejected = 0;
  private trimmed = 0;
  private falseRejects = 0;
  private missed = 0;
  private redrawn = 0;

  constructor(
    private readonly plan: RehearsalPlan,
    private readonly options: RehearsalOptions,
  ) {
    this.tally = new RunTally(plan.target.aim, options.keep ?? null);
    this.silent = new RunTally(plan.target.aim, null);
  }

  /** All syringes; false where hardly any draw is possible. */
  all(): boolean {
    const { syringes, seed, progress } = this.options;
    const seeds = randomSource(seed);
    const stride = Math.ceil(syringes / 100);
    for (let i = 0; i < syringes; i++) {
      const random = fromState([seeds.uint32(), seeds.uint32(), seeds.uint32(), seeds.uint32() | 1]);
      if (!this.syringe(random)) return false;
      if (progress !== undefined && (i + 1) % stride === 0) progress((i + 1) / syringes);
    }
    return true;
  }

  private syringe(random: RandomSource): boolean {
    const { line, reading, ahead, program, model, take } = this.plan;
    if (!this.drawSyringe(random)) return false;
    const first = ahead.shots[0]!;
    const { dwell, pressure } = settingsOf(program, ahead.shots)[0]!;
    let possible = true;
    const laid = () => {
      let volume = 0;
      for (let k = 0; k < reading.shots; k++) {
        possible &&= this.draw(() => line.press(random));
        volume += or0(line.shot(first, dwell));
      }
      return volume;
    };
    const read = reading.read(laid, random);
    if (!possible) return false;
    const still = or0(line.still(first, dwell));
    const thickness = still > 0 ? model.thicknessOf(still, first, { pressure, dwell }) : null;
    const judged = read === null ? null : judgeCheck(take(read), ahead);
    if (judged === null || judged.decision === 'reject' || judged.thickness === null) {
      this.rejected++;
      for (const { code } of judged?.reasons ?? []) this.reasons.set(code, (this.reasons.get(code) ?? 0) + 1);
      const due = thickness === null ? null : ahead.trimmed(thickness);
      if (due === null || thickness === null) return true;
      const thick = { read: thickness, true: thickness };
      const seen = this.connectors(random, { ...due, thick, trimmed: true, tally: this.silent });
      if (seen === 0) this.falseRejects++;
      return seen !== null;
    }
    const { trim } = judged;
    if (trim !== null) this.trimmed++;
    const thick = { read: judged.thickness.estimate, true: thickness ?? judged.thickness.estimate };
    const shots = trim?.shots ?? ahead.shots;
    const made = { program: trim?.program ?? program, shots, thick, trimmed: trim !== null, tally: this.tally };
    const seen = this.connectors(random, made);
    if (seen === null) return false;
    if (seen > 0) this.missed++;
    this.outside.push(seen);
    this.sizes.push(shots.length);
    return true;
  }

  /** A syringe that can be, and delivers what its models know. */
  private drawSyringe(random: RandomSource): boolean {
    return this.draw(() => this.plan.line.syringe(random));
  }

  private draw(once: () => boolean): boolean {
    for (let i = 0; i < MOST_DRAWS; i++) {
      if (once()) return true;
      this.redrawn++;
    }
    return false;
  }

  /** Runs a program over its shots; how many connectors are outside, null where hardly a draw is possible. */
  private connectors(
    random: RandomSource,
    p: {
      program: Program;
      shots: readonly ShotLeft[];
      thick: { read: number; true: number };
      trimmed: boolean;
      tally: RunTally;
    },
  ): number | null {
    const { line, model, target } = this.plan;
    const settings = settingsOf(p.program, p.shots);
    let outside = 0;
    let wander = 0; // of ln(thickness) since the check
    for (let i = 0; i < p.shots.length; i++) {
      const moment = p.shots[i]!;
      const setting = settings[i]!;
      if (!this.draw(() => line.connector(random))) return null;
      if (i > 0) wander += wanderOf(this.plan.drift, moment.age - p.shots[i - 1]!.age) * random.normal();
      const asThick = model.deliver(p.thick.true, moment, setting);
      const wandered = wander === 0 ? 1 : model.deliver(p.thick.true * Math.exp(wander), moment, setting) / asThick;
      const volumes = {
        aim: target.aim,
        asRecipe: model.deliver(1, moment, setting),
        asRead: model.deliver(p.thick.read, moment, setting),
        asThick,
        still: or0(line.still(moment, setting.dwell) * wandered),
        shot: or0(line.shot(moment, setting.dwell) * wandered),
      };
      if (p.tally.add(volumes, p.trimmed, line.window)) outside++;
    }
    return outside;
  }

  result(): Rehearsal {
    const { plan, options } = this;
    return {
      syringes: options.syringes,
      ...{ rejected: this.rejected, trimmed: this.trimmed, falseRejects: this.falseRejects, missed: this.missed },
      ...{ reasons: this.reasons, tally: this.tally, outside: this.outside, sizes: this.sizes },
      ...{ redrawn: this.redrawn - plan.line.unseated, noSeat: plan.line.unseated, interfering: plan.line.interfering },
      shotsPerReading: plan.reading.shots,
      ...{ target: plan.target, shotsPlanned: plan.ahead.shots.length },
      ...{ way: plan.way, models: plan.models, defaults: plan.defaults },
    };
  }
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
