import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { atMost } from '../../numeric/limits.ts';
import {
  diameterAt,
  type Frustum,
  makeCableStack,
  makeStack,
  type Stack,
  stackVolume,
} from '../../physics/cavity/cavity.ts';
import { type Balance, cavityBalance } from '../../physics/cavity/cavity-balance.ts';
import { freeVolume, type Gap, makeGap } from '../../physics/cavity/gap.ts';
import { piecesAhead, type Seat, seatOf } from '../../physics/cavity/seat.ts';
import { capVolume } from '../../physics/drop/cap.ts';
import { fibreBeadDiameter } from '../../physics/drop/fibre-bead.ts';
import type { Connector, Quantity, Recipe, Section } from '../../recipe/schema/recipe.ts';
import { resolveOutside } from '../delivery/needle.ts';
import { cavityBookFindings } from './cavity-findings.ts';

/** The book of a connector: volumes [m³], places [m behind the end face]. Null is what a missing block leaves open. */
export interface CavityBook {
  readonly connector: Connector;
  readonly cavity: Stack;
  readonly cable: Stack | null;
  /** Between the two. */
  readonly gap: Gap | null;
  /** Rear of the fibre bore, the first section. */
  readonly boreRear: number;
  readonly gross: number;
  readonly cableVolume: number | null;
  readonly free: number | null;
  readonly outside: Quantity | null;
  readonly fit: Seat | null;
  /** Where the needle bottoms; null when it does not seat. */
  readonly seat: number | null;
  /** From the seat forward to the end face, in the direction of the flow. */
  readonly ahead: readonly Frustum[] | null;
  readonly balance: Balance | null;
  /** Bores at the end face, each with a bead of its own. */
  readonly beads: number;
  /** One of them. */
  readonly wantedBead: { readonly volume: number; readonly diameter: number; readonly contactAngle: number } | null;
  /** With all beads. */
  readonly boreShot: number | null;
  /** Cable volume in the bores, which goes forward onto the end face. */
  readonly displaced: number | null;
  /** One bead with a fibre through it. */
  readonly finalBead: number | null;
  readonly finalBeadDiameter: number | null;
  readonly reach: BookWindow;
  /** Allowance included. */
  readonly backfill: BookWindow;
}

export interface BookWindow {
  readonly min: number | null;
  readonly aim: number | null;
  readonly max: number | null;
}

/**
 * The bookkeeping of a recipe in SI, for every analysis that needs the bore shot, the backfill or the seat. It computes
 * what the blocks at hand allow; only without a cavity there is nothing to compute.
 */
export function cavityBook(recipe: Recipe): Outcome<CavityBook> {
  const connector = recipe.connector;
  if (connector?.cavity === undefined || connector.cavity.length === 0) {
    return { result: null, findings: [blockMissing('connector.cavity', 'the cavity')] };
  }
  const findings: Finding[] = [];
  const book = makeBook(connector, connector.cavity, outsideOf(recipe, findings));
  findings.push(...cavityBookFindings(book, recipe.needle !== undefined));
  return { result: book, findings };
}

function outsideOf(recipe: Recipe, findings: Finding[]): Quantity | null {
  if (recipe.needle === undefined) return null;
  const outside = resolveOutside(recipe.needle);
  findings.push(...outside.findings);
  return outside.result;
}

function makeBook(connector: Connector, sections: readonly Section[], outside: Quantity | null): CavityBook {
  const cavity = makeStack(sections.map(frustum));
  const cable =
    connector.cable === undefined ? null : makeCableStack(connector.cable.map(frustum), connector.protrusion.value);
  const gap = cable === null ? null : makeGap(cavity, cable);
  const boreRear = cavity.pieces[0]?.to ?? 0;
  const whole = { from: cavity.from, to: cavity.to };
  const fit = outside === null ? null : seatOf(cavity, outside.value);
  const seat = fit?.kind === 'seated' ? fit.place : null;
  const allowance = connector.allowance.value;
  const balance = seat === null || gap === null ? null : cavityBalance({ gap, boreRear, seat, allowance });
  const bead = beadOf(connector);
  const beads = cavity.pieces[0]?.count ?? 1;
  const boreFill = seat === null ? null : stackVolume(cavity, { from: cavity.from, to: seat });
  return {
    connector,
    cavity,
    cable,
    gap,
    boreRear,
    gross: stackVolume(cavity, whole),
    cableVolume: cable === null ? null : stackVolume(cable, whole),
    free: gap === null ? null : freeVolume(gap, whole),
    outside,
    fit,
    seat,
    ahead: seat === null ? null : piecesAhead(cavity, seat),
    balance,
    beads,
    wantedBead: bead,
    boreShot: boreFill === null || bead === null ? null : boreFill + beads * bead.volume,
    ...finalBeadOf(bead, cable, boreRear),
    ...windows(connector, cavity, balance),
  };
}

/** What the fibres push out of their bores, and the bead that each makes of the wanted one. */
function finalBeadOf(
  bead: CavityBook['wantedBead'],
  cable: Stack | null,
  boreRear: number,
): Pick<CavityBook, 'displaced' | 'finalBead' | 'finalBeadDiameter'> {
  if (cable === null) return { displaced: null, finalBead: null, finalBeadDiameter: null };
  const displaced = stackVolume(cable, { from: 0, to: boreRear });
  if (bead === null) return { displaced, finalBead: null, finalBeadDiameter: null };
  const volume = bead.volume + displaced / (cable.pieces[0]?.count ?? 1);
  const fibreDiameter = diameterAt(cable, 0) ?? 0;
  const finalBeadDiameter = fibreBeadDiameter({ volume, contactAngle: bead.contactAngle, fibreDiameter });
  return { displaced, finalBead: volume, finalBeadDiameter };
}

/** A section as numbers. */
function frustum({ front, rear, length, count, pitch, sides }: Section): Frustum {
  return {
    ...{ front: front.value, rear: rear.value, length: length.value },
    ...(count === undefined ? {} : { count }),
    ...(pitch === undefined ? {} : { pitch: pitch.value }),
    ...(sides === undefined ? {} : { sides: { width: sides.width.value, height: sides.height.value } }),
  };
}

function beadOf(connector: Connector): CavityBook['wantedBead'] {
  if (connector.bead === undefined) return null;
  const diameter = connector.bead.diameter.value;
  const contactAngle = connector.bead.contact_angle.value;
  return { diameter, contactAngle, volume: capVolume({ contactDiameter: diameter, contactAngle }) };
}

/** Reach and backfill at both ends and the aim; a reach beyond the cavity has no backfill. */
function windows(
  connector: Connector,
  cavity: Stack,
  balance: Balance | null,
): { reach: BookWindow; backfill: BookWindow } {
  const none = { min: null, aim: null, max: null };
  if (connector.reach === undefined) return { reach: none, backfill: none };
  const min = connector.reach.min.value;
  const max = connector.reach.max.value;
  const given = connector.reach.aim?.value ?? null;
  if (balance === null) return { reach: { min, aim: given, max }, backfill: none };
  const at = (place: number): number | null =>
    atMost(place, cavity.to) ? balance.backfill(Math.min(place, cavity.to)) : null;
  const least = at(min);
  const most = at(max);
  if (given !== null) return { reach: { min, aim: given, max }, backfill: { min: least, aim: at(given), max: most } };
  const middle = least === null || most === null ? null : (least + most) / 2;
  const aim = middle === null ? null : balance.reachOf(middle);
  return { reach: { min, aim, max }, backfill: { min: least, aim: middle, max: most } };
}
