import { requirePositive } from '../../numeric/domain-error.ts';
import { findRoot } from '../../numeric/root.ts';
import { addedRadii, type NeedleEndLengths } from '../flow/end-correction.ts';
import { makeNeedle } from '../flow/needle-flow.ts';
import { simplified } from '../rheology/rheology.ts';
import { type BoreFillInput, boreFill, capillaryPressure, stackVolume } from './bore-fill.ts';
import { capillaryDiameter, newtonianMarch } from './bore-march.ts';

export interface MatchedNeedleInput extends Omit<BoreFillInput, 'needle'>, NeedleEndLengths {
  /** Volume that the backfill shall have in the time to the wanted bead [m³]. */ readonly backfill: number;
  /** Length [m] and ends of the needle; a Newtonian resin without capillary help needs neither. */
  readonly length: number;
}

/** Bores among which a needle is looked for [m], and the ratio of the first coarse steps. */
const BORES = { narrowest: 20e-6, widest: 20e-3, ratio: 1.15 } as const;

/**
 * d⁴/L [m³] of the straight needle for which one shared dwell serves bore and backfill: what it delivers freely in its
 * own time to the wanted bead is the backfill. L is with its end correction. Null where there is no such needle.
 *
 *   Newtonian: t = Rₙ·(I + V_bead/P) + J + R_c·V_bead/P, delivered P·t/Rₙ, I and J as in `newtonianMarch`; hence
 *   Rₙ = (P·J + R_c·V_bead)/(backfill − P·I − V_bead) and d⁴/L = 128μ/(π·Rₙ). Without capillary help P·I is the volume
 *   of the cavity, and neither P nor μ matters. A backfill at or below the bore shot has no such needle: seated, the
 *   needle is slower than free, so that any needle delivers more than the bore shot.
 *   Others: d from the equation itself, coming from wide bores; of a resin with a yield stress, which may have two such
 *   needles, it is the wider and quicker one.
 *
 * Throws: DomainError as `boreFill`, and for a backfill or length that is not positive.
 * Source: derived here. Evidence: `boreFill` and free flow through the needle found deliver the backfill.
 */
export function matchedNeedle(input: MatchedNeedleInput): number | null {
  requirePositive('backfill', input.backfill, 'm³');
  requirePositive('length', input.length, 'm');
  const rheology = simplified(input.rheology);
  if (rheology.model === 'newtonian') return newtonianMatch(input, rheology.viscosity);
  const bore = matchedBore(input);
  return bore === null ? null : bore ** 4 / correctedLength(input, bore);
}

function newtonianMatch(input: MatchedNeedleInput, viscosity: number): number | null {
  const { cavity, netPressure: P, wantedBead } = input;
  requirePositive('netPressure', P, 'Pa');
  const capillary = capillaryPressure(input);
  const diameters = cavity.flatMap(passage => [capillaryDiameter(passage), passage.sides ? [] : passage.rear].flat());
  if (diameters.some(d => P + capillary(d) <= 0)) return null; // the front is held back: there is no bead at all
  const march = newtonianMarch({ cavity, viscosity, pressureAt: d => P + capillary(d) });
  const swept = capillary(1) === 0 ? stackVolume(cavity) : P * march.volumeOverPressure;
  const surplus = input.backfill - swept - wantedBead;
  const own = P * march.ownTime + march.resistance * wantedBead;
  return surplus > 1e-12 * input.backfill && own > 0 ? ((128 * viscosity) / Math.PI) * (surplus / own) : null;
}

function correctedLength({ length, ...ends }: MatchedNeedleInput, bore: number): number {
  return length + addedRadii(ends) * (bore / 2);
}

function matchedBore(input: MatchedNeedleInput): number | null {
  const { length, rheology, netPressure, backfill, ends = 'entrance', entranceLengths } = input;
  const given = entranceLengths === undefined ? {} : { entranceLengths };
  const needleOf = (bore: number) => ({ sections: [{ front: bore, rear: bore, length }], ends, ...given });
  const flow = (bore: number) => makeNeedle({ ...needleOf(bore), rheology }).flow(netPressure);
  const time = (bore: number) => boreFill({ ...input, needle: needleOf(bore) }).timeToWantedBead;
  const quickest = time(BORES.widest);
  if (quickest === null) return null;
  // No needle takes less time, so that one that flows more than this delivers too much in any case.
  const most = backfill / quickest;
  if (!(flow(BORES.widest) > most && flow(BORES.narrowest) < most)) return null;
  const tooMuch = (logBore: number) => {
    const ratio = flow(Math.exp(logBore)) / most;
    return (ratio - 1) / (ratio + 1);
  };
  /** ln of delivered over wanted; infinite where the front never gets there. */
  const surplus = (logBore: number): number => {
    const bore = Math.exp(logBore);
    const took = time(bore);
    return took === null ? Number.POSITIVE_INFINITY : Math.log((flow(bore) * took) / backfill);
  };
  const step = Math.log(BORES.ratio);
  const [narrowest, widest] = [Math.log(BORES.narrowest), Math.log(BORES.widest)];
  let above = Math.min(widest, findRoot(tooMuch, narrowest, widest, { absolute: step / 10 }) + step / 10);
  while (above > narrowest) {
    const below = above - step;
    const value = surplus(below);
    if (value === Number.POSITIVE_INFINITY) return null;
    if (value <= 0) return Math.exp(findRoot(surplus, below, above, { relative: 1e-12, absolute: 1e-12 }));
    above = below;
  }
  return null;
}
