import { atLeast } from '../../numeric/limits.ts';
import { matchedNeedle as matchingNeedle } from '../../physics/cavity/matched-needle.ts';
import { addedRadii, type NeedleEndLengths, OPENING_LENGTH_PER_RADIUS } from '../../physics/flow/end-correction.ts';
import { needleTable } from '../../physics/flow/needle-table.ts';
import type { Needle, Quantity, Recipe } from '../../recipe/schema/recipe.ts';
import { type CavityBook, cavityBook } from '../cavity/cavity-book.ts';
import { type Conditions, type OperatingPoint, operatingPoint } from '../delivery/operating-point.ts';
import { boreDrive, boreMarch } from './bore-shot.ts';

/** A needle of the gauge table against the one that serves bore shot and backfill with one dwell. */
export interface MatchedNeedle {
  readonly gauge: string;
  readonly wall: string;
  readonly bore_mm: number;
  readonly outside_mm: number;
  readonly length_mm: number;
  readonly d4_per_length_mm3: number;
  /** Length at which this bore has the matched d⁴/L; null where the openings alone are too much. */
  readonly matching_length_mm: number | null;
  /** Backfill in the time to the wanted bead over the aim, less one, each with this needle's own seat. */
  readonly shared_dwell_error_pct: number;
}

export interface MatchedResult {
  /** Of the needle whose backfill in the time to the wanted bead is the aim, length with its end correction. */
  readonly d4_per_length_mm3: number;
  /** Of the recipe's own needle. */
  readonly own_d4_per_length_mm3: number;
  readonly own_shared_dwell_error_pct: number;
  /** Real needles that fit the connector, the nearest first. */
  readonly needles: readonly MatchedNeedle[];
}

/** So many needles are listed. */
const LISTED = 6;

/**
 * The needle resistance with which one shared dwell serves bore shot and backfill, as d⁴/L [mm³], L with its end
 * correction; null where no needle does, because the backfill aim is not above the bore shot.
 *
 * A plain needle of the recipe's length at its seat, steady at the set pressure; for a Newtonian resin without capillary
 * help neither pressure nor viscosity matters, and d⁴/L is all there is to a needle.
 */
export function matchedNeedle(
  recipe: Recipe,
  at: { book: CavityBook; pressure: number; conditions: Conditions },
): MatchedResult | null {
  const { book, pressure, conditions } = at;
  const own = operatingPoint(recipe, conditions).result;
  if (own === null || recipe.needle === undefined || book.backfill.aim === null || book.boreShot === null) return null;
  if (!(book.backfill.aim > book.boreShot)) return null;
  const { length } = own.needle;
  const ownError = sharedDwellError(recipe, book, own, pressure);
  const drive = boreDrive(recipe, book, own, pressure);
  if (ownError === null || drive === null) return null;
  const matched = matchingNeedle({ ...drive, ...endsOf(recipe.needle), backfill: book.backfill.aim, length });
  if (matched === null) return null;
  return {
    d4_per_length_mm3: matched * 1e9,
    own_d4_per_length_mm3: ownD4PerLength(own) * 1e9,
    own_shared_dwell_error_pct: ownError * 100,
    needles: realNeedles(recipe, { length, pressure, conditions, matched }),
  };
}

/** Backfill in the time to the wanted bead over the aim, less one; null where the bead is never reached. */
function sharedDwellError(recipe: Recipe, book: CavityBook, point: OperatingPoint, pressure: number): number | null {
  const time = boreMarch(recipe, book, point, pressure)?.timeToWantedBead ?? null;
  const aim = book.backfill.aim;
  if (time === null || aim === null || !(aim > 0)) return null;
  return (point.steadyFlow(pressure) * time) / aim - 1;
}

/** d⁴/L [m³] of a plain needle, L lengthened by its openings. */
function d4PerLength(needle: NeedleEndLengths & { diameter: number; length: number }): number {
  return needle.diameter ** 4 / (needle.length + (addedRadii(needle) * needle.diameter) / 2);
}

function endsOf({ ends, entrance_lengths: radii }: Pick<Needle, 'ends' | 'entrance_lengths'>): NeedleEndLengths {
  return { ends, ...(radii === undefined ? {} : { entranceLengths: radii.value }) };
}

/** The d⁴/L [m³] of the plain needle with the same Newtonian resistance as the recipe's, tapered or not. */
export function ownD4PerLength(point: OperatingPoint): number {
  const { sections, ends } = point.needle;
  const entranceLengths = point.needle.entranceLengths?.value ?? OPENING_LENGTH_PER_RADIUS;
  const [only] = sections;
  if (sections.length === 1 && only!.front.value === only!.rear.value) {
    return d4PerLength({ diameter: only!.front.value, length: only!.length.value, ends, entranceLengths });
  }
  const resistance = sections.reduce((sum, section, i) => {
    const [front, rear, length] = [section.front.value, section.rear.value, section.length.value];
    const before = sections[i - 1]?.rear.value;
    const entrance = ends !== 'none' && (before === undefined || !atLeast(front, before));
    const exit = ends === 'both' && i === sections.length - 1;
    const opening = (diameter: number, radii = OPENING_LENGTH_PER_RADIUS) => radii / 2 / diameter ** 3;
    const own = (length * (front ** 2 + front * rear + rear ** 2)) / (3 * front ** 3 * rear ** 3);
    return sum + own + (entrance ? opening(front, entranceLengths) : 0) + (exit ? opening(rear) : 0);
  }, 0);
  return 1 / resistance;
}

/** Needles of the table with the recipe's length that seat in the connector, by how near a shared dwell comes. */
function realNeedles(
  recipe: Recipe,
  at: { length: number; pressure: number; conditions: Conditions; matched: number },
): MatchedNeedle[] {
  const ends = endsOf(recipe.needle!);
  const rows = needleTable.flatMap(row => {
    if (row.bore === null) return [];
    const bore = row.bore.nominal;
    const outside = row.outside.nominal;
    const variant = withPlainNeedle(recipe, bore, at.length, outside);
    const book = cavityBook(variant).result;
    const point = operatingPoint(variant, at.conditions).result;
    const error = book === null || point === null ? null : sharedDwellError(variant, book, point, at.pressure);
    if (error === null) return [];
    const matching = bore ** 4 / at.matched - (addedRadii(ends) * bore) / 2;
    const needle: MatchedNeedle = {
      ...{ gauge: row.gauge, wall: row.wall, bore_mm: bore * 1e3, outside_mm: outside * 1e3 },
      length_mm: at.length * 1e3,
      d4_per_length_mm3: d4PerLength({ diameter: bore, length: at.length, ...ends }) * 1e9,
      matching_length_mm: matching > 0 ? matching * 1e3 : null,
      shared_dwell_error_pct: error * 100,
    };
    return [{ needle, off: Math.abs(Math.log(1 + error)) }];
  });
  const nearest = rows.sort((a, b) => a.off - b.off).slice(0, LISTED);
  return nearest.map(({ needle }) => needle);
}

function withPlainNeedle(recipe: Recipe, bore: number, length: number, outside?: number): Recipe {
  const { gauge: _gauge, sections: _sections, ...rest } = recipe.needle!;
  const quantity = (key: string, value: number): Quantity => ({ value, path: `needle.${key}`, source: 'default' });
  const needle: Needle = {
    ...rest,
    ...{ bore: quantity('bore', bore), length: quantity('length', length) },
    ...(outside === undefined ? {} : { outside: quantity('outside', outside) }),
  };
  return { ...recipe, needle };
}
