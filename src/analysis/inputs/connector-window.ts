import { areaFold, TOUCHING } from '../../physics/cavity/cavity.ts';
import { overlap } from '../../physics/cavity/overlap.ts';
import type { Connector, Quantity, Section } from '../../recipe/schema/recipe.ts';
import { type Slot, SlotArray, type Slots } from './slot.ts';

/** Places of the backfills in the vector that an evaluation fills [m³]. */
export const OUT = { shot: 0, min: 1, aim: 2, max: 3, length: 4 } as const;

/** What became of one connector. */
export const FIT = {
  fits: 0,
  /** The cable is thicker than the cavity somewhere: the volumes are still those of the stacks. */
  interferes: 1,
  /** The needle does not enter, or passes through: there is no seat and no backfill. */
  noSeat: 2,
} as const;

export type Fit = (typeof FIT)[keyof typeof FIT];

/** Fills the backfill for least, wanted and greatest reach of one connector; with no seat they are left alone. */
export type WindowEvaluation = (deviations: Float64Array, out: Float64Array) => Fit;

/**
 * The backfill window of a connector [m³] made ready for many samples of its dimensions.
 *
 *   backfill(reach) = [gross(bore rear, reach) − cable(bore rear, reach) − gross(bore rear, seat)]·(1 + allowance)
 *
 * The same sums as in `cavityBalance`, exact for any order of the break points, but as two plain integrals over flat arrays
 * in place of one over the gap. The aim is the middle of the two ends unless the recipe gives a reach. A reach beyond the
 * cavity counts as its end: no epoxy stands beyond. Null where the connector lacks cavity, cable or reach.
 *
 * Evidence: agrees with `cavityBook` on random samples.
 */
export function connectorWindow(
  connector: Connector | undefined,
  outside: Quantity | null,
  slots: Slots,
): WindowEvaluation | null {
  if (connector?.cavity === undefined || connector.cavity.length === 0) return null;
  if (connector.cable === undefined || connector.reach === undefined || outside === null) return null;
  const { reach } = connector;
  const cavity = new SampledStack(connector.cavity, slots.fixed(0), slots);
  const cable = new SampledStack(connector.cable, slots.of(connector.protrusion), slots);
  const others = new SlotArray(
    [reach.min, reach.max, connector.allowance, outside, reach.aim ?? reach.min].map(slots.of),
    slots.none,
  );
  const v = others.values; // by index below: taking a typed array apart by pattern is slow
  const givenAim = reach.aim !== undefined;
  const evaluate: WindowEvaluation = (deviations, out) => {
    cavity.read(deviations);
    cable.read(deviations);
    others.read(deviations);
    const seat = seatPlace(cavity, v[3]!);
    if (!(seat > 0)) return FIT.noSeat;
    const rear = cavity.to[0]!;
    const end = cavity.to[cavity.count - 1]!;
    const factor = 1 + v[2]!;
    // From the rear of the bore, less what the bore shot leaves from there to the seat: gross(rear) cancels.
    const start = cavity.upTo(seat) - cable.upTo(rear);
    const low = Math.min(v[0]!, end);
    const high = Math.min(v[1]!, end);
    const least = cavity.upTo(low) - cable.upTo(low) - start;
    const most = cavity.upTo(high) - cable.upTo(high) - start;
    let aim = (least + most) / 2;
    if (givenAim) {
      const wanted = Math.min(v[4]!, end);
      aim = cavity.upTo(wanted) - cable.upTo(wanted) - start;
    }
    out[OUT.min] = least * factor;
    out[OUT.aim] = aim * factor;
    out[OUT.max] = most * factor;
    return interferes(cavity, cable) ? FIT.interferes : FIT.fits;
  };
  return cavity.moving + cable.moving + others.moving > 0 ? evaluate : once(evaluate, slots);
}

/** Whether the cable of one connector is thicker than its cavity somewhere; null without a cavity or a cable. */
export function connectorFit(connector: Connector, slots: Slots): ((deviations: Float64Array) => boolean) | null {
  if (connector.cavity === undefined || connector.cavity.length === 0 || connector.cable === undefined) return null;
  const cavity = new SampledStack(connector.cavity, slots.fixed(0), slots);
  const cable = new SampledStack(connector.cable, slots.of(connector.protrusion), slots);
  return deviations => {
    cavity.read(deviations);
    cable.read(deviations);
    return interferes(cavity, cable);
  };
}

/** Where the cable of one connector jams: each fibre in a bore of its own, or in what is one for all. */
export interface Jams {
  readonly own: boolean;
  readonly shared: boolean;
}

/** {@link connectorFit}, told apart for rows of fibres in rows of bores; null without a cavity or a cable. */
export function rowFit(connector: Connector, slots: Slots): ((deviations: Float64Array) => Jams) | null {
  if (connector.cavity === undefined || connector.cavity.length === 0 || connector.cable === undefined) return null;
  const cavity = new SampledStack(connector.cavity, slots.fixed(0), slots);
  const cable = new SampledStack(connector.cable, slots.of(connector.protrusion), slots);
  return deviations => {
    cavity.read(deviations);
    cable.read(deviations);
    const own = !cavity.plain && !cable.plain && interferes(cavity, cable, 'own');
    return { own, shared: interferes(cavity, cable, 'shared') };
  };
}

/** A connector without tolerances is evaluated once. */
function once(evaluate: WindowEvaluation, slots: Slots): WindowEvaluation {
  const known = new Float64Array(OUT.length);
  const fit = evaluate(new Float64Array(slots.none + 1), known);
  return (_, out) => {
    if (fit === FIT.noSeat) return fit;
    out[OUT.min] = known[OUT.min]!;
    out[OUT.aim] = known[OUT.aim]!;
    out[OUT.max] = known[OUT.max]!;
    return fit;
  };
}

/** A stack of frustums whose sizes are read anew for each sample. */
class SampledStack {
  readonly count: number;
  /** How many of its sizes deviate. */
  readonly moving: number;
  /** Place of each rear end [m]. */
  readonly to: Float64Array;
  /** Volume [m³] from the front of the stack to each rear end. */
  private readonly volumes: Float64Array;
  /**
   * Front and rear diameter and length of each piece, one after the other; then what stands before the end face, and pitch,
   * width and height of each piece that is a row or a rectangle [m].
   */
  readonly values: Float64Array;
  /**
   * The same diameters as volumes count them. Passages side by side deviate each by itself, so that together they hold what so many
   * of a diameter would that is off by 1/√count as much.
   */
  private readonly across: Float64Array;
  private readonly nominal: Float64Array;
  private readonly sizes: SlotArray;
  /** Area of each piece over that of one round passage [-]. */
  private readonly folds: Float64Array;
  /** Pieces that are a row or a rectangle. */
  private readonly special: readonly Special[];
  /** Whether diameters alone say what fits. */
  readonly plain: boolean;

  constructor(sections: readonly Section[], before: Slot, slots: Slots) {
    this.count = sections.length;
    this.to = new Float64Array(this.count);
    this.volumes = new Float64Array(this.count);
    this.folds = new Float64Array(this.count).fill(1);
    const sizes = sections.flatMap(({ front, rear, length }) => [front, rear, length].map(slots.of));
    const special: Special[] = [];
    const more: Slot[] = [];
    sections.forEach(({ count, pitch, sides }, piece) => {
      if (count === undefined && sides === undefined) return;
      special.push({ piece, count: count ?? 1, rectangle: sides !== undefined, at: sizes.length + 1 + more.length });
      for (const size of [pitch, sides?.width, sides?.height])
        more.push(size === undefined ? slots.fixed(0) : slots.of(size));
    });
    this.special = special;
    this.plain = special.length === 0;
    this.sizes = new SlotArray([...sizes, before, ...more], slots.none);
    this.values = this.sizes.values;
    this.nominal = this.plain ? this.values : this.values.slice();
    this.across = this.plain ? this.values : this.values.slice();
    this.moving = this.sizes.moving;
    this.place();
  }

  read(deviations: Float64Array): void {
    if (this.moving === 0) return;
    this.sizes.read(deviations);
    this.place();
  }

  private place(): void {
    const { values: v, across, nominal, count, to, volumes, folds } = this;
    if (!this.plain) across.set(v);
    for (const { piece, count: passages, rectangle, at } of this.special) {
      const sides = { width: v[at + 1]!, height: v[at + 2]! };
      folds[piece] = areaFold(rectangle ? { count: passages, sides } : { count: passages });
      // whichever side is the smaller in this connector
      for (const k of [3 * piece, 3 * piece + 1]) {
        if (rectangle) across[k] = v[k] = Math.min(sides.width, sides.height);
        else across[k] = nominal[k]! + (v[k]! - nominal[k]!) / Math.sqrt(passages);
      }
    }
    let at = -v[3 * count]!;
    let volume = 0;
    for (let i = 0; i < count; i++) {
      const front = across[3 * i]!;
      const rear = across[3 * i + 1]!;
      const length = v[3 * i + 2]!;
      at += length;
      volume += folds[i]! * ((Math.PI / 12) * length * (front * front + front * rear + rear * rear));
      to[i] = at;
      volumes[i] = volume;
    }
  }

  /** Diameter [m] of a piece at a place. */
  diameter(piece: number, place: number): number {
    const v = this.values;
    const front = v[3 * piece]!;
    const rear = v[3 * piece + 1]!;
    if (front === rear) return front;
    return rear + ((front - rear) * (this.to[piece]! - place)) / v[3 * piece + 2]!;
  }

  /** Volume [m³] from the front of the stack to a place; all of it behind its end, nothing in front of it. */
  upTo(place: number): number {
    const { count, to, volumes } = this;
    let i = 0;
    while (i < count && to[i]! <= place) i++;
    if (i === count) return volumes[count - 1]!;
    const { across } = this;
    const left = to[i]! - place;
    const rear = across[3 * i + 1]!;
    const length = this.values[3 * i + 2]!;
    if (left >= length) return i === 0 ? 0 : volumes[i - 1]!;
    const here = rear + ((across[3 * i]! - rear) * left) / length;
    return volumes[i]! - this.folds[i]! * ((Math.PI / 12) * left * (rear * rear + rear * here + here * here));
  }

  /** Whether several passages stand side by side in a piece. */
  isRow(piece: number): boolean {
    return !this.plain && this.special.some(one => one.piece === piece && one.count > 1);
  }

  /** What stands at a place of a piece. */
  section(piece: number, place: number) {
    const { values: v } = this;
    const one = this.special.find(other => other.piece === piece);
    return {
      diameter: this.diameter(piece, place),
      count: one?.count ?? 1,
      sides: one?.rectangle ? { width: v[one.at + 1]!, height: v[one.at + 2]! } : undefined,
      pitch: one === undefined ? undefined : v[one.at]!,
    };
  }
}

/** A piece that is a row or a rectangle; pitch, width and height stand at `at` and behind it. */
interface Special {
  readonly piece: number;
  readonly count: number;
  readonly rectangle: boolean;
  readonly at: number;
}

/** Where the needle bottoms [m], as `seatOf`; zero where it does not enter or passes through. */
function seatPlace(cavity: SampledStack, outside: number): number {
  const { values: v, count, to } = cavity;
  const needed = outside * (1 - TOUCHING);
  if (v[3 * count - 2]! < needed || cavity.isRow(count - 1)) return 0;
  for (let i = count - 1; i >= 0; i--) {
    const front = v[3 * i]!;
    const rear = v[3 * i + 1]!;
    if (rear < needed || cavity.isRow(i)) return to[i]!;
    if (front < needed) {
      const length = v[3 * i + 2]!;
      return to[i]! - length + length * Math.min(1, (outside - front) / (rear - front));
    }
  }
  return 0;
}

/** Both stacks are straight between their break points: looking at both sides of each misses nothing. */
function interferes(cavity: SampledStack, cable: SampledStack, which: 'any' | 'own' | 'shared' = 'any'): boolean {
  const plain = cavity.plain && cable.plain;
  let place = 0;
  let i = 0;
  let j = 0;
  while (j < cable.count && cable.to[j]! <= 0) j++;
  while (i < cavity.count && j < cable.count) {
    const cavityEnd = cavity.to[i]!;
    const cableEnd = cable.to[j]!;
    const next = Math.min(cavityEnd, cableEnd);
    const c = 3 * i;
    const k = 3 * j;
    const narrowest = Math.min(cavity.values[c]!, cavity.values[c + 1]!);
    const looked = which === 'any' || (which === 'own') === (cavity.isRow(i) && cable.isRow(j));
    if (!looked) {
      // of the other kind
    } else if (!plain) {
      const grace = TOUCHING * Math.max(cavity.values[c]!, cavity.values[c + 1]!);
      if (overlap(cavity.section(i, place), cable.section(j, place)) > grace) return true;
      if (overlap(cavity.section(i, next), cable.section(j, next)) > grace) return true;
    } else if (Math.max(cable.values[k]!, cable.values[k + 1]!) > narrowest) {
      const grace = TOUCHING * Math.max(cavity.values[c]!, cavity.values[c + 1]!);
      if (cable.diameter(j, place) - cavity.diameter(i, place) > grace) return true;
      if (cable.diameter(j, next) - cavity.diameter(i, next) > grace) return true;
    }
    if (cavityEnd <= next) i++;
    if (cableEnd <= next) j++;
    place = next;
  }
  return false;
}
