import { requireFinite, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { integrate } from '../../numeric/quadrature.ts';
import { flowPath, type Passage, type PathPiece } from '../flow/flow-path.ts';
import { type NeedleShape, needlePieces } from '../flow/needle-flow.ts';
import { wallCurve } from '../flow/wall-curve.ts';
import { type Rheology, simplified } from '../rheology/rheology.ts';
import { boreFrontStop } from './bore-front-stop.ts';
import { capillaryDiameter, newtonianMarch } from './bore-march.ts';
import { areaFold } from './cavity.ts';
import { conePlaces } from './cone-places.ts';

export interface BoreFillInput {
  /** As `makeNeedle` takes it: from the barrel to the tip, diameters and lengths [m]. */
  readonly needle: NeedleShape;
  readonly rheology: Rheology;
  /**
   * The cavity ahead of the seated needle, from the end face backwards, the last section cut at the seat; `front` is the
   * diameter towards the end face [m]. Empty when the needle seats at the end face. Passages side by side fill in step.
   */
  readonly cavity: readonly Passage[];
  /** Steady pressure less plunger friction [Pa]. */ readonly netPressure: number;
  /** [N/m], default 0: no help. */ readonly surfaceTension?: number;
  /** Of the resin in the cavity [rad], default π/2: no help. */ readonly contactAngle?: number;
  /** Volume of the beads wanted on the end face, all together [m³]. */ readonly wantedBead: number;
}

export interface BoreFill {
  /** From the start of flow until the front reaches the end face [s]; null where it stops before. Marched when asked for. */
  readonly timeToBead: number | null;
  /** Until the bead has the wanted volume [s]; null where it never has. */ readonly timeToWantedBead: number | null;
  /** A time [s] that this does not exceed, without the march; null where there is no such bound. */
  readonly wantedBeadBy: number | null;
  /** Flow [m³/s] with the front at the end face, which is that of the growing bead; 0 where it does not get there. */
  readonly beadFlow: number;
  /** Pressure drop of the needle over the whole, front at the end face [-]; null where nothing flows there. */
  readonly needleShare: number | null;
  /** Distance from the end face [m] at which the front stops; 0: it fills the bore, but no bead grows. Null: it goes on. */
  readonly stoppedAt: number | null;
  /** Volume of the bead [m³] at a time from the start of flow [s]; null before there is one. */
  beadVolumeAt(time: number): number | null;
}

/** Relative accuracy of the march, per section. */
const RELATIVE = 1e-9;

/**
 * Filling of the bore with the needle seated: the front goes from the seat to the end face, then a bead grows on it.
 *
 *   dt = A(x)·dx/Q(x), Q the flow at which needle and filled cavity together take P + 4γ·cos θ/d(x)
 *   Newtonian, cylinder: t = (A/ΔP)(Rₙ·x + ½·r_b·x²), r_b = 128μ/(π·d⁴)
 *   n passages side by side: each has Q/n
 *   bead: V = Q_end·(t − t_bead), Q_end at P alone, since the capillary's help ends at the end face
 *   bound: where the capillary does not push back, Q is never less than Q_end, so that t ≤ (cavity + bead)/Q_end
 *
 * Valid for: slow flow that follows the pressure at once (no inertia), full wetting of the walls behind the front, the
 * bead's own pressure neglected; θ against the wall of a cone is taken as against a tube of the local diameter.
 * Shape: one set of numbers in, times and a bead that can be asked at any time out.
 * Throws: DomainError when a size is not positive, the net pressure or the wanted bead is negative.
 * Source: design formula above; Washburn, Phys. Rev. 17 (1921) 273-283 for the capillary's part (from memory).
 * Evidence: closed forms for cylinders and cones; fixed-step march of the front for every kind of resin.
 */
export function boreFill(input: BoreFillInput): BoreFill {
  requireNonNegative('netPressure', input.netPressure, 'Pa');
  requireNonNegative('wantedBead', input.wantedBead, 'm³');
  const rheology = simplified(input.rheology);
  const curve = wallCurve(rheology);
  const needle = needlePieces(input.needle);
  const capillary = capillaryPressure(input);
  const stop = boreFrontStop({ ...input, needle, curve, capillary });
  if (stop !== null) return { ...NOTHING, stoppedAt: stop };

  const beadFlow = flowPath([...needle, ...input.cavity.map(section)], curve).flow(input.netPressure);
  const share = beadFlow > 0 ? flowPath(needle, curve).pressure(beadFlow) / input.netPressure : null;
  let marched: number | null = null; // the longest work by far, and not all ask for it
  const timeToBead = (): number => {
    marched ??=
      rheology.model === 'newtonian'
        ? newtonianTime({
            ...input,
            viscosity: rheology.viscosity,
            needle: flowPath(needle, curve).pressure(1),
            capillary,
          })
        : marchTime({ ...input, needle, curve, capillary });
    return marched;
  };
  return {
    get timeToBead() {
      return timeToBead();
    },
    get timeToWantedBead() {
      if (beadFlow > 0) return timeToBead() + input.wantedBead / beadFlow;
      return input.wantedBead === 0 ? timeToBead() : null;
    },
    wantedBeadBy: beadFlow > 0 && capillary(1) >= 0 ? (stackVolume(input.cavity) + input.wantedBead) / beadFlow : null,
    beadFlow,
    needleShare: share,
    stoppedAt: beadFlow > 0 ? null : 0,
    beadVolumeAt: time => (time < timeToBead() ? null : beadFlow * (time - timeToBead())),
  };
}

const NOTHING = {
  ...{ timeToBead: null, timeToWantedBead: null, wantedBeadBy: null, beadFlow: 0, needleShare: null },
  beadVolumeAt: () => null,
} as const;

/** 4γ·cos θ over the diameter: pulls where the resin wets, pushes back where it does not. */
export function capillaryPressure({
  surfaceTension = 0,
  contactAngle = Math.PI / 2,
}: Pick<BoreFillInput, 'surfaceTension' | 'contactAngle'>): (diameter: number) => number {
  requireNonNegative('surfaceTension', surfaceTension, 'N/m');
  requireFinite('contactAngle', contactAngle, 'rad');
  // cos(π/2) is not quite zero in floating point, and a right angle means no help at all
  const cosine = Math.abs(contactAngle - Math.PI / 2) < 1e-12 ? 0 : Math.cos(contactAngle);
  return diameter => (4 * surfaceTension * cosine) / diameter;
}

function section(passage: Passage): PathPiece {
  return { ...passage, kind: 'section' };
}

interface NewtonianTime extends Omit<BoreFillInput, 'needle'> {
  viscosity: number;
  /** Resistance of the needle with its ends [Pa·s/m³]. */ needle: number;
  capillary: (diameter: number) => number;
}

function newtonianTime({ cavity, viscosity, needle, netPressure, capillary }: NewtonianTime): number {
  const march = newtonianMarch({ cavity, viscosity, pressureAt: d => netPressure + capillary(d) });
  return needle * march.volumeOverPressure + march.ownTime;
}

interface March extends Omit<BoreFillInput, 'needle'> {
  needle: readonly PathPiece[];
  curve: ReturnType<typeof wallCurve>;
  capillary: (diameter: number) => number;
}

/** Time [s] of the front from the seat to the end face, for any resin. */
function marchTime({ needle, curve, cavity, netPressure, capillary }: March): number {
  let behind = needle;
  let time = 0;
  for (const cone of [...cavity].reverse()) {
    const pressureAt = (diameter: number) => netPressure + capillary(diameter);
    const stretch = { cone, behind, curve, pressureAt };
    time += cone.front === cone.rear ? cylinderTime(stretch) : coneTime(stretch);
    behind = [...behind, section(cone)];
  }
  return time;
}

interface Stretch {
  cone: Passage;
  /** What the resin has passed before it. */ behind: readonly PathPiece[];
  curve: ReturnType<typeof wallCurve>;
  pressureAt: (diameter: number) => number;
}

/**
 * The pressure is constant, so the place of the front is explicit in the flow, x(Q) = (P − behind(Q))/gradient(Q), and
 * no flow has to be solved for: t = A·[L/Q₀ + ∫ (L − x)/Q d ln Q] from the flow at the end to that at the start.
 *
 * The way left, L·(whole(Q) − P)/own(Q), is the difference of two pressures above the yield pressure of the whole: just
 * above it, where the last stretch takes longest, the pressures themselves agree in all their digits.
 */
function cylinderTime({ cone, behind, curve, pressureAt }: Stretch): number {
  const pressure = pressureAt(capillaryDiameter(cone));
  const whole = flowPath([...behind, section(cone)], curve);
  const own = flowPath([section(cone)], curve);
  const excess = pressure - whole.yieldPressure;
  const atStart = flowPath(behind, curve).flow(pressure);
  const atEnd = whole.flowAbove(excess);
  const wait = (logFlow: number) => {
    const flow = Math.exp(logFlow);
    return (whole.excess(flow) - excess) / own.pressure(flow) / flow;
  };
  const more = integrate(wait, Math.log(atEnd), Math.log(atStart), {
    relative: RELATIVE,
    absolute: RELATIVE / atStart,
  });
  return areaFold(cone) * ((Math.PI / 4) * cone.front ** 2 * cone.length * (1 / atStart + more));
}

/** The flow is solved for at each place. What is left of the pressure there is counted from the end, as in a cylinder. */
function coneTime({ cone, behind, curve, pressureAt }: Stretch): number {
  const { front, rear, count = 1 } = cone;
  const placeAt = conePlaces(cone);
  const excess = pressureAt(front) - flowPath([...behind, section(cone)], curve).yieldPressure;
  const pace = (w: number) => {
    const { diameter, passed, left, volume } = placeAt(w);
    const ahead = flowPath([section({ front, rear: diameter, length: left, count })], curve).yieldPressure;
    const now = excess + (pressureAt(diameter) - pressureAt(front)) + ahead;
    const filled = section({ front: diameter, rear, length: passed, count });
    return (count * volume) / flowPath([...behind, filled], curve).flowAbove(now);
  };
  return integrate(pace, 0, 1, { relative: RELATIVE });
}

/** Gross volume [m³] of a stack of frustums. */
export function stackVolume(cavity: readonly Passage[]): number {
  return cavity.reduce((sum, passage) => {
    const { front, rear, length } = passage;
    requirePositive('length', length, 'm');
    return sum + areaFold(passage) * ((Math.PI / 12) * length * (front ** 2 + front * rear + rear ** 2));
  }, 0);
}
