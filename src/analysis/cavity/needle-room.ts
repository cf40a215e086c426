import { diameterAt, makeStack, type Stack, stackVolume, TOUCHING } from '../../physics/cavity/cavity.ts';
import type { Needle, Quantity } from '../../recipe/schema/recipe.ts';
import type { CavityBook } from './cavity-book.ts';

/** A seated needle in its cavity: lengths [m], volumes [m³]. */
export interface NeedleRoom {
  /** From the rear opening to the seat. */
  readonly needed: number;
  /** What stands out of the hub. */
  readonly exposed: number;
  readonly exposedFrom: Quantity;
  /** Its outside from the tip backwards. */
  readonly profile: Stack;
  /** Gross volume between seat and rear less the needle's own, cable out. */
  readonly capacity: number;
  /** Where the needle is too thick behind its tip to get to the seat; null where it gets there. */
  readonly wedged: { readonly behindTip: number; readonly outside: number; readonly cavity: number } | null;
}

/**
 * Whether the needle gets to its seat, and how much resin there is room for around it; null where the needle does not
 * seat or its length is not known.
 *
 * The outside of a tapered tip follows its inside: `outside` is that of the tip, and the wall is as thick everywhere
 * (an assumption of ours, no source).
 */
export function needleRoom(needle: Needle | undefined, book: CavityBook): NeedleRoom | null {
  const { seat, cavity, outside } = book;
  const exposed = needle === undefined ? null : exposedLength(needle);
  if (needle === undefined || seat === null || outside === null || exposed === null) return null;
  const needed = cavity.to - seat;
  const inside = Math.min(needed, exposed.value);
  const profile = outsideStack(needle, outside.value, exposed.value);
  const gross = stackVolume(cavity, { from: seat, to: cavity.to });
  const own = stackVolume(profile, { from: 0, to: inside });
  const wedged = wedgeOf(cavity, profile, seat, inside);
  return { needed, exposed: exposed.value, exposedFrom: exposed.from, profile, capacity: gross - own, wedged };
}

function exposedLength({ exposed, length, sections }: Needle): { value: number; from: Quantity } | null {
  const given = exposed ?? length;
  if (given !== undefined) return { value: given.value, from: given };
  const last = sections?.at(-1);
  if (sections === undefined || last === undefined) return null;
  return { value: sections.reduce((sum, section) => sum + section.length.value, 0), from: last.length };
}

/** Outside diameters from the tip backwards. */
function outsideStack({ sections }: Needle, outside: number, exposed: number): Stack {
  if (sections === undefined || sections.length === 0) {
    return makeStack([{ front: outside, rear: outside, length: exposed }]);
  }
  const wall = outside - sections.at(-1)!.rear.value;
  return makeStack(
    [...sections].reverse().map(({ front, rear, length }) => ({
      front: Math.max(outside, rear.value + wall),
      rear: Math.max(outside, front.value + wall),
      length: length.value,
    })),
  );
}

/** The place nearest the tip at which the needle is thicker than the cavity; both are straight between their breaks. */
function wedgeOf(cavity: Stack, needle: Stack, seat: number, inside: number): NeedleRoom['wedged'] {
  const breaks = [
    ...cavity.pieces.flatMap(({ from, to }) => [from - seat, to - seat]),
    ...needle.pieces.map(p => p.to),
  ];
  const places = [...new Set([...breaks, inside])].filter(s => s > 0 && s <= inside * (1 + TOUCHING));
  for (const behindTip of places.sort((a, b) => a - b)) {
    // on a step the narrower side is in front
    const around = diameterAt(cavity, Math.min(seat + behindTip, cavity.to));
    const outside = diameterAt(needle, Math.min(behindTip, needle.to));
    if (around !== null && outside !== null && outside > around * (1 + TOUCHING)) {
      return { behindTip, outside, cavity: around };
    }
  }
  return null;
}
