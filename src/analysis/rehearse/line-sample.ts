import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import type { RandomSource } from '../../numeric/random.ts';
import type { Per, Quantity, Recipe } from '../../recipe/schema/recipe.ts';
import { type JointSampler, jointSampler } from '../../stats/joint-sampler.ts';
import type { InputCorrelation } from '../../stats/uncertainty.ts';
import type { Setting } from '../delivery/operating-point.ts';
import { connectorWindow, FIT, OUT } from '../inputs/connector-window.ts';
import { makeSlots, type Slot } from '../inputs/slot.ts';
import { type SpreadInput, spreadInputs, withTableSizes } from '../inputs/spread-inputs.ts';
import type { ShotMoment } from '../release/syringe-model.ts';
import { mayFail } from '../spread/monte-carlo-spread.ts';
import { sampledShot } from '../spread/sampled-shot.ts';
import { spreadCorrelations } from '../spread/spread-correlations.ts';
import { isTrimmed } from '../spread/spread-measures.ts';

/** A line that is drawn syringe by syringe, and connector by connector; SI. */
export interface SampledLine {
  readonly inputs: readonly SpreadInput[];
  /** Another lot, needle and syringe; false where a value of the draw cannot be. */
  syringe(random: RandomSource): boolean;
  /** Another syringe with those of its parts that are new, the others as they were drawn before; the same. */
  nextSyringe(random: RandomSource, fresh: { readonly lot: boolean; readonly needle: boolean }): boolean;
  /** Another connector and another shot; false where a value of the draw cannot be or the needle finds no seat. */
  connector(random: RandomSource): boolean;
  /** Another shot alone. */
  press(random: RandomSource): boolean;
  /** The shot as it was drawn [m³]; NaN where the models end. */
  shot(moment: ShotMoment, dwell: number): number;
  /** The same without what differs from shot to shot [m³]; at so much more pressure [Pa]. */
  still(moment: ShotMoment, dwell: number, pressure?: number): number;
  /** A shot is dear, and from shot to shot nothing that moves it differs but the station's pressure and dwell. */
  readonly pressesAlone: boolean;
  /** By how much pressure [Pa] and dwell [s] were off in the shot drawn last, of a dwell. */
  pressed(dwell: number): { readonly pressure: number; readonly dwell: number };
  /** Takes a syringe of which one input alone deviates, for `still`. */
  hold(input: number, deviation: number): void;
  /** Backfills of the connector as it was drawn, in the places of `OUT` [m³]. */
  readonly window: Float64Array;
  /** Connectors drawn so far in which the needle found no seat, and whose cable is thicker than the cavity somewhere. */
  readonly unseated: number;
  readonly interfering: number;
  /** What was drawn for a quantity that has a tolerance, over its value [-]; 1 for one without. */
  relative(quantity: Quantity): number;
}

/** What is left of the deviation of each input; default: all. */
export type ScaleOf = (input: SpreadInput) => number;

/**
 * A recipe and its first setting made ready for whole runs: the same samples and models as `spread`, at any age, fill and dwell. What
 * is of a lot, needle or syringe is drawn once for each syringe, or for as long as it has that lot or needle; what is of a shot or
 * connector, for each of them. A correlation between the two kinds is not kept, nor is one between lot, needle and syringe where
 * syringes share them.
 */
export function sampledLine(given: Recipe, setting: Setting, scale: ScaleOf = () => 1): Outcome<SampledLine> {
  const recipe = withTableSizes(given);
  const inputs = spreadInputs(recipe, setting).map(input => {
    const left = scale(input);
    return left === 1 ? input : { ...input, uncertainty: input.uncertainty * left, halfWidth: input.halfWidth * left };
  });
  const correlations = spreadCorrelations(recipe, inputs);
  const findings: Finding[] = [...correlations.findings];
  if (correlations.result === null) return { result: null, findings };
  return { result: new Line(recipe, setting, inputs, correlations.result), findings };
}

/** What differs from shot to shot and is pressed, or differs from connector to connector and moves no shot. */
const PRESSED_OR_FIT = /^(station\.(pressure\.accuracy|dwell\.jitter)|connector\.|needle\.outside)/;

class Line implements SampledLine {
  readonly window = new Float64Array(OUT.length);
  unseated = 0;
  interfering = 0;
  private readonly kept: Draw;
  private readonly parts: Readonly<Record<'lot' | 'needle' | 'syringe', Draw>>;
  private readonly changing: Draw;
  private readonly ofShot: Draw;
  private readonly drawn: Float64Array;
  private readonly steady: Float64Array;
  private readonly out = new Float64Array(OUT.length);
  private readonly evaluateShot: (deviations: Float64Array, out: Float64Array) => void;
  private readonly evaluateWindow: ReturnType<typeof connectorWindow>;
  private readonly at: { readonly dwell: number; readonly age: number; readonly dispensed: number };
  private readonly own: { readonly dwell: number; readonly age: number };
  /** Place of the jitter, where it is a share of the dwell, and the jitter drawn over the first dwell. */
  private readonly jitterAt: number;
  /** Places of pressure and dwell as they are pressed. */
  private readonly pressedAt: { readonly pressure: number; readonly dwell: number };
  readonly pressesAlone: boolean;
  private jitter = 0;

  constructor(
    recipe: Recipe,
    private readonly setting: Setting,
    readonly inputs: readonly SpreadInput[],
    correlations: readonly InputCorrelation[],
  ) {
    const slots = makeSlots(inputs);
    const { none } = slots;
    this.at = { dwell: none + 1, age: none + 2, dispensed: none + 3 };
    this.drawn = new Float64Array(none + 4);
    this.steady = new Float64Array(none + 4);
    const { settings, station, process } = recipe;
    const place = (quantity: Quantity | undefined) => (quantity === undefined ? none : slots.of(quantity).index);
    const slot = (base: number, index: number): Slot => ({ base, index });
    this.own = { dwell: place(settings?.dwell), age: place(process?.ready_after) };
    const jitter = station?.dwell?.jitter;
    this.jitterAt = jitter?.relative === true ? place(jitter) : none;
    const shot = sampledShot(
      recipe,
      {
        pressure: slot(setting.pressure, place(settings?.pressure)),
        accuracy: slot(0, place(station?.pressure?.accuracy)),
        dwell: slot(0, this.at.dwell),
        jitter: slot(0, place(jitter)),
        moment: { age: slot(0, this.at.age), dispensed: slot(0, this.at.dispensed) },
      },
      slots,
    );
    this.evaluateShot = shot.evaluate;
    this.pressedAt = { pressure: place(station?.pressure?.accuracy), dwell: place(jitter) };
    const others = inputs.some(
      input => input.moves && !isTrimmed(input) && !input.paths.every(path => PRESSED_OR_FIT.test(path)),
    );
    this.pressesAlone = shot.way === 'general' && !others && this.pressedAt.pressure !== none;
    this.evaluateWindow = connectorWindow(recipe.connector, recipe.needle?.outside ?? null, slots);
    this.kept = new Draw(inputs, isTrimmed, correlations);
    const part = (wanted: Per) => new Draw(inputs, ({ per }) => per === wanted, correlations);
    this.parts = { lot: part('lot'), needle: part('needle'), syringe: part('syringe') };
    this.changing = new Draw(inputs, input => !isTrimmed(input), correlations);
    this.ofShot = new Draw(inputs, ({ per }) => per === 'shot', correlations);
  }

  syringe(random: RandomSource): boolean {
    if (!this.kept.into(this.drawn, random)) return false;
    this.kept.into(this.steady, null);
    return true;
  }

  nextSyringe(random: RandomSource, fresh: { readonly lot: boolean; readonly needle: boolean }): boolean {
    const { lot, needle, syringe } = this.parts;
    const drawn = [...(fresh.lot ? [lot] : []), ...(fresh.needle ? [needle] : []), syringe];
    if (!drawn.every(part => part.into(this.drawn, random))) return false;
    for (const part of drawn) part.into(this.steady, null);
    return true;
  }

  connector(random: RandomSource): boolean {
    if (!this.changing.into(this.drawn, random)) return false;
    this.jitter = this.drawn[this.jitterAt]!;
    const fit = this.evaluateWindow!(this.drawn, this.window);
    if (fit === FIT.interferes) this.interfering++;
    if (fit === FIT.noSeat) this.unseated++;
    return fit !== FIT.noSeat;
  }

  press(random: RandomSource): boolean {
    if (!this.ofShot.into(this.drawn, random)) return false;
    this.jitter = this.drawn[this.jitterAt]!;
    return true;
  }

  shot(moment: ShotMoment, dwell: number): number {
    const { drawn, jitterAt } = this;
    if (this.jitter !== 0) drawn[jitterAt] = (this.jitter * dwell) / this.setting.dwell;
    return this.evaluate(drawn, moment, dwell);
  }

  still(moment: ShotMoment, dwell: number, pressure = 0): number {
    const { steady, pressedAt } = this;
    if (pressure === 0) return this.evaluate(steady, moment, dwell);
    steady[pressedAt.pressure] = pressure;
    const volume = this.evaluate(steady, moment, dwell);
    steady[pressedAt.pressure] = 0;
    return volume;
  }

  pressed(dwell: number): { pressure: number; dwell: number } {
    const { drawn, pressedAt, jitterAt } = this;
    const relative = this.jitter !== 0 && jitterAt === pressedAt.dwell;
    return {
      pressure: drawn[pressedAt.pressure]!,
      dwell: relative ? (this.jitter * dwell) / this.setting.dwell : drawn[pressedAt.dwell]!,
    };
  }

  hold(input: number, deviation: number): void {
    this.steady.fill(0);
    this.steady[input] = deviation;
  }

  relative(quantity: Quantity): number {
    const i = this.inputs.findIndex(({ paths }) => paths.includes(quantity.path));
    return i === -1 || quantity.value === 0 ? 1 : 1 + this.drawn[i]! / quantity.value;
  }

  private evaluate(deviations: Float64Array, { age, dispensed }: ShotMoment, dwell: number): number {
    const { at, own, out } = this;
    deviations[at.dwell] = dwell + deviations[own.dwell]!;
    deviations[at.age] = age + deviations[own.age]!;
    deviations[at.dispensed] = dispensed;
    this.evaluateShot(deviations, out);
    return out[OUT.shot]!;
  }
}

/** Some of the inputs, drawn together into their places. */
class Draw {
  private readonly places: Int32Array;
  private readonly values: Float64Array;
  private readonly sampler: JointSampler;
  /** Of those drawn, which may come out impossible. */
  private readonly risky: readonly { readonly place: number; readonly value: number }[];

  constructor(
    inputs: readonly SpreadInput[],
    chosen: (input: SpreadInput) => boolean,
    correlations: readonly InputCorrelation[],
  ) {
    const places = inputs.flatMap((input, i) => (chosen(input) ? [i] : []));
    const within = correlations.flatMap(({ between: [a, b], r }) => {
      const [i, j] = [places.indexOf(a), places.indexOf(b)];
      return i === -1 || j === -1 ? [] : [{ between: [i, j] as [number, number], r }];
    });
    this.places = Int32Array.from(places);
    this.values = new Float64Array(places.length);
    this.sampler = jointSampler(
      places.map(i => inputs[i]!),
      within,
    )!; // a part of correlations that can be
    this.risky = places.flatMap((i, place) => (mayFail(inputs[i]!) ? [{ place, value: inputs[i]!.value }] : []));
  }

  /** Draws; without a source, what was drawn last is put there. False where a value cannot be. */
  into(deviations: Float64Array, random: RandomSource | null): boolean {
    const { places, values } = this;
    if (random !== null) {
      this.sampler(values, random);
      for (const { place, value } of this.risky) if (!(value + values[place]! > 0)) return false;
    }
    for (let k = 0; k < places.length; k++) deviations[places[k]!] = values[k]!;
    return true;
  }
}
