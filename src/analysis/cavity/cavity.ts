import type { Outcome } from '../../diagnostics/finding.ts';
import { stackVolume } from '../../physics/cavity/cavity.ts';
import { freeVolume } from '../../physics/cavity/gap.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import { type CavityBook, cavityBook } from './cavity-book.ts';
import { type NeedleRoom, needleRoom } from './needle-room.ts';

export interface CavitySection {
  readonly part: string;
  readonly from_mm: number;
  readonly to_mm: number;
  readonly gross_uL: number;
  readonly cable_uL: number | null;
  readonly free_uL: number | null;
  /** Equal passages side by side, volumes all together; 1 for one. */
  readonly count: number;
  /** From the middle of one passage to the middle of the next; null where it is not given. */
  readonly pitch_mm: number | null;
  /** Of a rectangle; null where the section is round. */
  readonly width_mm: number | null;
  readonly height_mm: number | null;
}

export interface FillPoint {
  readonly reach_mm: number;
  /** Allowance included. */
  readonly backfill_uL: number;
}

export interface CavityResult {
  /** One entry for each section of the cavity, from the end face backwards. */
  readonly sections: readonly CavitySection[];
  readonly gross_uL: number;
  readonly cable_uL: number | null;
  readonly free_uL: number | null;
  readonly needle_outside_mm: number | null;
  readonly seat_mm: number | null;
  /** The section in which the needle bottoms. */
  readonly seat_part: string | null;
  /** One bead. */
  readonly wanted_bead_uL: number | null;
  /** With all beads. */
  readonly bore_shot_uL: number | null;
  /** What the fibres push out of their bores onto the end face. */
  readonly displaced_uL: number | null;
  /** What the bore shot leaves between the rear of the bore and the seat. */
  readonly left_behind_bore_uL: number | null;
  readonly allowance_pct: number;
  readonly reach_min_mm: number | null;
  readonly reach_aim_mm: number | null;
  readonly reach_max_mm: number | null;
  /** Allowance included. */
  readonly backfill_min_uL: number | null;
  readonly backfill_aim_uL: number | null;
  readonly backfill_max_uL: number | null;
  /** One bead, with its fibre through it. */
  readonly final_bead_uL: number | null;
  readonly final_bead_diameter_mm: number | null;
  readonly face_mm: number | null;
  /** Whether the needle reaches its seat; null where it does not seat, or its length is not known. */
  readonly needle: {
    /** From the rear opening to the seat. */ readonly needed_mm: number;
    /** What stands out of the hub. */ readonly exposed_mm: number;
    /** What is left between hub and connector; below zero where the needle is too short. */ readonly clear_mm: number;
  } | null;
  /** Gross volume between seat and rear less the needle's own, cable out. */
  readonly capacity_with_needle_uL: number | null;
  /** Bores at the end face, each with a bead. */
  readonly beads: number;
  /** From the reach of the bore shot alone (no backfill) to the rear of the cavity. */
  readonly fill_curve: readonly FillPoint[];
  readonly defaults: readonly string[];
}

const MILLI = 1e3; // m to mm
const MICROLITRE = 1e9; // m³ to µL
const DEFAULTS = { fillCurveIntervals: 24 };

/**
 * How much epoxy a connector holds once the cable is in it: volumes section by section, the needle's seat, bore shot,
 * window and aim of the backfill, the bead that the fibre leaves on the end face, and the fill curve.
 */
export function cavity(recipe: Recipe): Outcome<CavityResult> {
  const { result: book, findings } = cavityBook(recipe);
  if (book === null) return { result: null, findings };
  const result = resultOf(book, needleRoom(recipe.needle, book));
  return { result: { ...result, defaults: takenByDefault(recipe, 'cavity') }, findings };
}

function resultOf(book: CavityBook, room: NeedleRoom | null): Omit<CavityResult, 'defaults'> {
  const { balance, connector, fit } = book;
  return {
    sections: sectionsOf(book),
    gross_uL: book.gross * MICROLITRE,
    cable_uL: scaled(book.cableVolume, MICROLITRE),
    free_uL: scaled(book.free, MICROLITRE),
    needle_outside_mm: scaled(book.outside?.value, MILLI),
    seat_mm: scaled(book.seat, MILLI),
    seat_part: fit?.kind === 'seated' ? (connector.cavity?.[fit.index]?.part ?? null) : null,
    wanted_bead_uL: scaled(book.wantedBead?.volume, MICROLITRE),
    bore_shot_uL: scaled(book.boreShot, MICROLITRE),
    displaced_uL: scaled(book.displaced, MICROLITRE),
    left_behind_bore_uL: scaled(balance?.left, MICROLITRE),
    allowance_pct: connector.allowance.value * 100,
    reach_min_mm: scaled(book.reach.min, MILLI),
    reach_aim_mm: scaled(book.reach.aim, MILLI),
    reach_max_mm: scaled(book.reach.max, MILLI),
    backfill_min_uL: scaled(book.backfill.min, MICROLITRE),
    backfill_aim_uL: scaled(book.backfill.aim, MICROLITRE),
    backfill_max_uL: scaled(book.backfill.max, MICROLITRE),
    final_bead_uL: scaled(book.finalBead, MICROLITRE),
    final_bead_diameter_mm: scaled(book.finalBeadDiameter, MILLI),
    face_mm: scaled(connector.face?.value, MILLI),
    needle:
      room === null
        ? null
        : {
            needed_mm: room.needed * MILLI,
            exposed_mm: room.exposed * MILLI,
            clear_mm: (room.exposed - room.needed) * MILLI,
          },
    capacity_with_needle_uL: scaled(room?.capacity, MICROLITRE),
    beads: book.beads,
    fill_curve: fillCurve(book),
  };
}

function scaled(value: number | null | undefined, factor: number): number | null {
  return value === null || value === undefined ? null : value * factor;
}

function sectionsOf({ cavity, cable, gap, connector }: CavityBook): CavitySection[] {
  return cavity.pieces.map((piece, i) => {
    const span = { from: piece.from, to: piece.to };
    return {
      part: connector.cavity?.[i]?.part ?? '',
      from_mm: piece.from * MILLI,
      to_mm: piece.to * MILLI,
      gross_uL: stackVolume(cavity, span) * MICROLITRE,
      cable_uL: cable === null ? null : stackVolume(cable, span) * MICROLITRE,
      free_uL: gap === null ? null : freeVolume(gap, span) * MICROLITRE,
      count: piece.count ?? 1,
      pitch_mm: scaled(piece.pitch, MILLI),
      width_mm: scaled(piece.sides?.width, MILLI),
      height_mm: scaled(piece.sides?.height, MILLI),
    };
  });
}

/** Even steps, every break point of cavity and cable (between two of which the curve is smooth), and the window. */
function fillCurve({ balance, cavity, cable, reach }: CavityBook): FillPoint[] {
  const from = balance?.reachOf(0) ?? null;
  if (balance === null || cable === null || from === null || from >= cavity.to) return [];
  const n = DEFAULTS.fillCurveIntervals;
  const even = Array.from({ length: n + 1 }, (_, i) => from + ((cavity.to - from) * i) / n);
  const breaks = [...cavity.pieces, ...cable.pieces].map(p => p.to);
  const window = [reach.min, reach.aim, reach.max].filter(r => r !== null);
  const places = [...even, ...breaks, ...window].filter(place => place >= from && place <= cavity.to);
  return [...new Set(places)]
    .sort((a, b) => a - b)
    .map(place => ({
      reach_mm: place * MILLI,
      backfill_uL: place === from ? 0 : balance.backfill(place) * MICROLITRE, // zero by its definition, not to rounding
    }));
}
