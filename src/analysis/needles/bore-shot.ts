import { cavityFinding } from '../../diagnostics/codes/cavity-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { type BoreFill, type BoreFillInput, boreFill } from '../../physics/cavity/bore-fill.ts';
import { capContactDiameter } from '../../physics/drop/cap.ts';
import { simplified } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { CavityBook } from '../cavity/cavity-book.ts';
import { needleShape, type OperatingPoint } from '../delivery/operating-point.ts';

/** The shot with the needle seated, as keys of a result. */
export interface BoreKeys {
  readonly time_to_bead_s: number | null;
  readonly time_to_wanted_bead_s: number | null;
  /** Of each bead that stands when the dwell is over; null before there is one. */
  readonly bead_diameter_mm: number | null;
  /** With the front at the end face. */
  readonly needle_share_pct: number | null;
  /** Distance from the end face at which the front stops for want of pressure; null where it goes on. */
  readonly stopped_at_mm: number | null;
}

/** The cavity ahead of the seated needle and what drives the resin into it; null where the recipe does not tell it, or nothing does. */
export function boreDrive(
  recipe: Recipe,
  book: CavityBook,
  point: OperatingPoint,
  pressure: number,
): Omit<BoreFillInput, 'needle'> | null {
  const netPressure = point.netPressure(pressure);
  if (book.ahead === null || book.wantedBead === null || !(netPressure > 0)) return null;
  if (rectangleFindings(book, point).length > 0) return null;
  const surfaceTension = recipe.resin?.surface_tension?.value;
  return {
    rheology: point.rheology,
    // the book lists what lies ahead in the direction of the flow, the march from the end face backwards
    cavity: [...book.ahead].reverse().map(passage => ({ ...passage, front: passage.rear, rear: passage.front })),
    netPressure,
    ...(surfaceTension === undefined ? {} : { surfaceTension }),
    contactAngle: book.connector.bore_contact_angle.value,
    wantedBead: book.beads * book.wantedBead.volume,
  };
}

/** A rectangle that the bore shot has to pass, where the series for it does not hold. */
export function rectangleFindings({ ahead, connector }: CavityBook, { rheology }: OperatingPoint): Finding[] {
  if (ahead === null || ahead.every(({ sides }) => sides === undefined)) return [];
  if (simplified(rheology).model === 'newtonian') return [];
  // nearest the seat first, the cavity from the end face backwards
  const section = connector.cavity?.[ahead.length - 1 - ahead.findIndex(({ sides }) => sides !== undefined)];
  const message = `${section?.part ?? 'a section'} is a rectangle, and the resin is not Newtonian: the flow through it is not known`;
  return [cavityFinding('rectangle-not-newtonian', section?.sides?.width.path ?? 'connector.cavity', message)];
}

/**
 * The march of the front from the seat to the end face at a set pressure less friction, steady; null where the recipe has
 * no seat or no wanted bead, or where nothing drives the resin.
 */
export function boreMarch(recipe: Recipe, book: CavityBook, point: OperatingPoint, pressure: number): BoreFill | null {
  const drive = boreDrive(recipe, book, point, pressure);
  const needle = needleShape(point.needle);
  return drive === null ? null : boreFill({ ...drive, needle });
}

/** Times and beads of the bore shot, with the bead that a dwell leaves on each bore. */
export function boreKeys(march: BoreFill, dwell: number, book: CavityBook & { wantedBead: object }): BoreKeys {
  const all = march.beadVolumeAt(dwell);
  const bead = all === null ? null : all / book.beads;
  const { contactAngle } = book.wantedBead;
  return {
    time_to_bead_s: march.timeToBead,
    time_to_wanted_bead_s: march.timeToWantedBead,
    bead_diameter_mm: bead === null || bead === 0 ? null : capContactDiameter({ volume: bead, contactAngle }) * 1e3,
    needle_share_pct: march.needleShare === null ? null : march.needleShare * 100,
    stopped_at_mm: march.stoppedAt === null ? null : march.stoppedAt * 1e3,
  };
}
