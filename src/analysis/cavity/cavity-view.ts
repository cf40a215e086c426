import type { Stack } from '../../physics/cavity/cavity.ts';
import type { Recipe, Section } from '../../recipe/schema/recipe.ts';
import { resolveNeedle } from '../delivery/needle.ts';
import { cavityBook } from './cavity-book.ts';
import { needleRoom } from './needle-room.ts';

/** One cylinder, cone or rectangle in its place, cut along the width; or a row of them. */
export interface ViewPiece {
  readonly part: string;
  /** Behind the end face [mm]. */
  readonly from: number;
  readonly to: number;
  /** Diameters at both ends, or the width of a rectangle [mm]. */
  readonly front: number;
  readonly rear: number;
  /** Of a rectangle [mm]; null for what is round. */
  readonly height: number | null;
  /** Beside the axis, one for each passage of a row [mm]; 0 for one. */
  readonly offsets: readonly number[];
}

/** Shapes and places of what meets in a connector, from the end face backwards; lengths in mm, as drawings have them. */
export interface CavityView {
  readonly cavity: readonly ViewPiece[];
  readonly cable: readonly ViewPiece[] | null;
  /** The needle as deep as it goes: at its seat, or short of it by its length; null where it does not seat or its length is not known. */
  readonly needle: {
    readonly outside: readonly ViewPiece[];
    /** Null where the recipe does not say. */
    readonly bore: readonly ViewPiece[] | null;
    /** Where the hub begins. */
    readonly hub: number;
    /** Too thick behind its tip to get there. */
    readonly wedged: boolean;
  } | null;
  /** Angle at which a bead meets the end face [rad]; null where no bead is wanted. */
  readonly beadAngle: number | null;
}

const MILLI = 1e3; // m to mm

/** The shapes of a recipe's connector, for a picture to scale; null without a cavity. */
export function cavityView(recipe: Recipe): CavityView | null {
  const { result: book } = cavityBook(recipe);
  if (book === null) return null;
  const room = needleRoom(recipe.needle, book);
  const { connector } = book;
  return {
    cavity: placed(book.cavity, connector.cavity ?? []),
    cable: book.cable === null ? null : placed(book.cable, connector.cable ?? []),
    needle: room === null || book.seat === null ? null : needleOf(recipe, room, book),
    beadAngle: book.wantedBead?.contactAngle ?? null,
  };
}

function needleOf(
  recipe: Recipe,
  room: NonNullable<ReturnType<typeof needleRoom>>,
  book: { readonly seat: number | null; readonly cavity: Stack },
): CavityView['needle'] {
  const tip = Math.max(book.seat!, book.cavity.to - room.exposed) * MILLI;
  const bore = resolveNeedle(recipe).result?.sections.toReversed() ?? null; // they run from the barrel to the tip
  return {
    outside: placed(room.profile, [], tip),
    bore: bore === null ? null : boreOf(bore, tip),
    hub: tip + room.exposed * MILLI,
    wedged: room.wedged !== null,
  };
}

function placed({ pieces }: Stack, sections: readonly Section[], start = 0): ViewPiece[] {
  return pieces.map(({ from, to, front, rear, sides, count = 1, pitch }, i) => ({
    part: sections[i]?.part ?? '',
    ...{ from: start + from * MILLI, to: start + to * MILLI },
    ...{ front: (sides?.width ?? front) * MILLI, rear: (sides?.width ?? rear) * MILLI },
    height: sides === undefined ? null : sides.height * MILLI,
    offsets: offsetsOf(count, pitch ?? (sides?.width ?? Math.max(front, rear)) * TOUCHING_APART),
  }));
}

/** A row whose pitch is not known is drawn with its passages so near one another. */
const TOUCHING_APART = 1.2;

function offsetsOf(count: number, pitch: number): number[] {
  return Array.from({ length: count }, (_, i) => (i - (count - 1) / 2) * pitch * MILLI);
}

function boreOf(sections: readonly Section[], tip: number): ViewPiece[] {
  let at = tip;
  return sections.map(({ part, front, rear, length }) => {
    const from = at;
    at += length.value * MILLI;
    const ends = { front: rear.value * MILLI, rear: front.value * MILLI };
    return { part, from, to: at, ...ends, height: null, offsets: [0] };
  });
}
