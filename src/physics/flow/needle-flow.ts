import { DomainError, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { type Rheology, viscosityAt } from '../rheology/rheology.ts';
import type { ConeGeometry } from './cone-flow.ts';
import { type NeedleEndLengths, type NeedleEnds, OPENING_LENGTH_PER_RADIUS } from './end-correction.ts';
import { type FlowPath, flowPath, type PathPiece } from './flow-path.ts';
import { type WallCurve, wallCurve } from './wall-curve.ts';

export interface NeedleInput extends NeedleShape {
  readonly rheology: Rheology;
}

export interface NeedleShape extends NeedleEndLengths {
  /** From the barrel to the tip: diameters [m] (front upstream, rear towards the tip), length [m]. */
  readonly sections: readonly ConeGeometry[];
}

export interface NeedleFlowInput extends NeedleInput {
  /** ΔP from the barrel to the tip [Pa]. */ readonly pressure: number;
  /** Density ρ [kg/m³]. */ readonly density: number;
}

/** Steady flow through a needle. */
export interface NeedleFlow {
  readonly model: Rheology['model'];
  readonly ends: NeedleEnds;
  /** Q [m³/s]; exactly 0 at or below `yieldPressure`. */ readonly flow: number;
  /** dQ/dΔP [m³/(s·Pa)] */ readonly slope: number;
  /**
   * Pressure drop of each section [Pa], with the openings that belong to it: its own entrance, and for the last one the
   * exit. Their sum is the pressure. At rest the resin takes up the pressure in proportion to what each could carry.
   */
  readonly pressures: readonly number[];
  /** τw where it is largest, the narrowest place [Pa]. */ readonly wallShearStress: number;
  /** True γ̇w there [1/s]. */ readonly wallShearRate: number;
  /** τw/γ̇w [Pa·s]; null where the resin rests and has no finite one. */ readonly wallViscosity: number | null;
  /** γ̇w at the widest and at the narrowest place [1/s]. */ readonly wallShearRateRange: readonly [number, number];
  /** 8ρv²/τw where it is largest [-]. */ readonly reynolds: number;
  /** ρv²/ΔP with v at the narrowest place [-]. */ readonly kineticShare: number;
  /** Extra length of the openings over the lengthened length [-]. */ readonly endShare: number;
  /** Nothing flows at or below this pressure [Pa]; 0 without a yield stress. */ readonly yieldPressure: number;
  /** Largest half-angle of a cone [rad]; 0 without cones. */ readonly halfAngleMax: number;
}

/** A needle made ready for many pressures. */
export interface ReadyNeedle extends FlowPath {
  readonly rheology: Rheology;
  readonly ends: NeedleEnds;
  /** Everything about the flow at one pressure. */
  at(input: { /** [Pa] */ readonly pressure: number /** [kg/m³] */; readonly density: number }): NeedleFlow;
}

/**
 * Makes a needle ready: flow against pressure for one resin, fast enough for integrators and Monte Carlo runs.
 *
 *   sections in series share Q; an opening adds (3π/16)·R of length: at the barrel's entrance (radius of the first
 *   section's front) and at each abrupt contraction (the smaller radius), or as many radii as are given; `both` adds the exit (radius of the tip),
 *   `none` leaves all out. A cone that starts or ends at its neighbour's diameter opens smoothly and adds nothing; nor
 *   does a sudden widening.
 *
 * Valid for: steady, laminar, isothermal flow without slip; cones up to a half-angle of about 15°.
 * Shape: one rheology and a list of sections in, one object out.
 * Throws: DomainError when there is no section, a size is not positive, or the model's numbers are out of range.
 * Source: tube-flow, cone-flow and end-correction.
 * Evidence: published needle and cannula flows; closed forms; sums of sections.
 */
export function makeNeedle({ rheology, ...shape }: NeedleInput): ReadyNeedle {
  const { sections, ends = 'entrance' } = shape;
  if (sections.length === 0) throw new DomainError('sections', 0, 'sections', 'one or more');
  const curve = wallCurve(rheology);
  const bySection = sections.map((section, i) => piecesOf(section, i, shape));
  const path = flowPath(bySection.flat(), curve);
  return {
    ...path,
    rheology,
    ends,
    at: ({ pressure, density }) => {
      requireNonNegative('pressure', pressure, 'Pa');
      requirePositive('density', density, 'kg/m³');
      const flow = path.flow(pressure);
      const pressures = pressuresOf({ bySection, curve, flow, pressure, yieldPressure: path.yieldPressure });
      const shared = { model: rheology.model, ends, flow, slope: path.slope(pressure), pressures };
      const { yieldPressure } = path;
      const wall =
        flow > 0
          ? flowingWall({ curve, sections, flow, pressure, density })
          : restingWall({ rheology, curve, pressure, yieldPressure });
      return {
        ...shared,
        ...wall,
        endShare: endShareOf(bySection.flat()),
        yieldPressure,
        halfAngleMax: halfAngleMax(sections),
      };
    },
  };
}

/** Steady flow through a needle at one pressure; see {@link makeNeedle} for what it does and {@link NeedleFlow}. */
export function needleFlow({ pressure, density, ...needle }: NeedleFlowInput): NeedleFlow {
  return makeNeedle(needle).at({ pressure, density });
}

/** Pressure [Pa] that drives a flow [m³/s] through a needle; at flow 0 the yield pressure. See {@link makeNeedle}. */
export function needlePressureDrop({
  flow,
  ...needle
}: NeedleInput & { /** Q [m³/s] */ readonly flow: number }): number {
  return makeNeedle(needle).pressure(flow);
}

/** The pieces of a needle in series, sections and openings, for a path that goes on beyond the tip. */
export function needlePieces(shape: NeedleShape): PathPiece[] {
  return shape.sections.flatMap((section, i) => piecesOf(section, i, shape));
}

/** Diameters that differ by less than this are the same: what unit conversion leaves of two equal texts. */
const SAME_DIAMETER = 1e-9;

/** A section with the openings that belong to it. */
function piecesOf(section: ConeGeometry, i: number, shape: NeedleShape): PathPiece[] {
  const { sections: all, ends = 'entrance', entranceLengths } = shape;
  const { front, rear, length } = section;
  const pieces: PathPiece[] = [{ kind: 'section', front, rear, length }];
  if (ends === 'none') return pieces;
  const before = all[i - 1];
  if (!before || section.front < before.rear * (1 - SAME_DIAMETER)) {
    const radii = entranceLengths === undefined ? {} : { radii: entranceLengths };
    pieces.push({ kind: 'opening', diameter: section.front, ...radii });
  }
  if (ends === 'both' && i === all.length - 1) pieces.push({ kind: 'opening', diameter: section.rear });
  return pieces;
}

interface Spent {
  readonly bySection: readonly (readonly PathPiece[])[];
  readonly curve: WallCurve;
  readonly flow: number;
  readonly pressure: number;
  readonly yieldPressure: number;
}

function pressuresOf({ bySection, curve, flow, pressure, yieldPressure }: Spent): number[] {
  const drops = bySection.map(pieces => flowPath(pieces, curve).pressure(flow));
  if (flow > 0) return drops;
  return drops.map(drop => (yieldPressure > 0 ? (drop * pressure) / yieldPressure : 0));
}

function endShareOf(pieces: readonly PathPiece[]): number {
  let [length, extra] = [0, 0];
  for (const piece of pieces) {
    if (piece.kind === 'section') length += piece.length;
    else extra += ((piece.radii ?? OPENING_LENGTH_PER_RADIUS) * piece.diameter) / 2;
  }
  return extra / (length + extra);
}

interface Flowing {
  readonly curve: WallCurve;
  readonly sections: readonly ConeGeometry[];
  readonly flow: number;
  readonly pressure: number;
  readonly density: number;
}

type Wall = Pick<
  NeedleFlow,
  'wallShearStress' | 'wallShearRate' | 'wallViscosity' | 'wallShearRateRange' | 'reynolds' | 'kineticShare'
>;

/** Wall stress rises with Q/(πR³), so its largest and smallest values stand at the ends of sections. */
function flowingWall({ curve, sections, flow, pressure, density }: Flowing): Wall {
  const radii = sections.flatMap(s => [s.front / 2, s.rear / 2]);
  const velocity = (radius: number) => flow / (Math.PI * radius ** 2); // mean [m/s]
  const narrowest = Math.min(...radii);
  const state = (radius: number) => curve.atReducedFlow(flow / (Math.PI * radius ** 3));
  const most = state(narrowest);
  const least = state(Math.max(...radii));
  return {
    wallShearStress: most.stress,
    wallShearRate: most.shearRate,
    wallViscosity: most.stress / most.shearRate,
    wallShearRateRange: [least.shearRate, most.shearRate],
    reynolds: Math.max(...radii.map(radius => (8 * density * velocity(radius) ** 2) / state(radius).stress)),
    kineticShare: (density * velocity(narrowest) ** 2) / pressure,
  };
}

interface Resting {
  readonly rheology: Rheology;
  readonly curve: WallCurve;
  readonly pressure: number;
  readonly yieldPressure: number;
}

/** Without flow the wall carries the share of the yield stress that the pressure is of the yield pressure. */
function restingWall({ rheology, curve, pressure, yieldPressure }: Resting): Wall {
  const viscosity = viscosityAt(rheology, 0);
  return {
    wallShearStress: yieldPressure > 0 ? (curve.yieldStress * pressure) / yieldPressure : 0,
    wallShearRate: 0,
    wallViscosity: Number.isFinite(viscosity) && viscosity > 0 ? viscosity : null,
    wallShearRateRange: [0, 0],
    reynolds: 0,
    kineticShare: 0,
  };
}

function halfAngleMax(sections: readonly ConeGeometry[]): number {
  return Math.max(...sections.map(s => Math.atan(Math.abs(s.front - s.rear) / (2 * s.length))));
}
