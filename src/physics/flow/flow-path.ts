import { DomainError, OverflowError, requirePositive } from '../../numeric/domain-error.ts';
import { risingRoot } from '../../numeric/root.ts';
import { type ConeGeometry, coneParts, yieldWeight } from './cone-flow.ts';
import { OPENING_LENGTH_PER_RADIUS } from './end-correction.ts';
import { rectangleResistance } from './rectangle-flow.ts';
import type { WallCurve, WallState } from './wall-curve.ts';

/** One piece of a path of passages in series: a cylinder or cone, or an opening that costs pressure. */
export type PathPiece =
  | ({ readonly kind: 'section' } & Passage)
  | {
      readonly kind: 'opening' /** [m] */;
      readonly diameter: number /** Radii it adds; see end-correction [-] */;
      readonly radii?: number;
    };

/** A cylinder or cone, or several side by side, or rectangles. */
export interface Passage extends ConeGeometry {
  /** So many equal ones side by side share the flow; absent: one. */
  readonly count?: number;
  /** Sides [m] of a rectangle, in place of the diameters; for Newtonian resins. */
  readonly sides?: { readonly width: number; readonly height: number };
}

/** Passages in series that share one flow. */
export interface FlowPath {
  /** Below or at this pressure nothing flows [Pa]; 0 without a yield stress. */ readonly yieldPressure: number;
  /** Flow [m³/s] at a pressure [Pa]; exactly 0 at or below the yield pressure, negative pressures included. */
  flow(pressure: number): number;
  /** Flow [m³/s] at a pressure above the yield pressure by `excess` [Pa], where the difference of the two would cancel. */
  flowAbove(excess: number): number;
  /** Pressure [Pa] at a flow [m³/s]; the yield pressure at flow 0. */
  pressure(flow: number): number;
  /** That pressure less the yield pressure [Pa], exact where the difference of the two would cancel. */
  excess(flow: number): number;
  /** Slope dQ/dΔP [m³/(s·Pa)] at a pressure [Pa]. */
  slope(pressure: number): number;
  /** Pressures [Pa] at which the flow over pressure has a kink, rising: there the wall of some passage passes one. */
  kinks(): readonly number[];
}

interface Compiled {
  readonly radii: readonly number[];
  /** Passages side by side at each radius. */ readonly counts: readonly number[];
  /** Pressure per wall stress at each radius [-]. */ readonly weights: readonly number[];
  /** Cones between two of the radii. */ readonly tapers: readonly { wide: number; narrow: number; factor: number }[];
  /** Yield pressure over yield stress [-]. */ readonly yieldWeight: number;
}

/**
 * Solves a path of passages in series once, for fast repeated use.
 *
 *   ΔP(Q) = Σ wᵢ·τw(Q/(nᵢ·πRᵢ³)) + Σ cones, wᵢ = 2L/R for a cylinder, 3π/8 for an opening, n passages side by side
 *   Newtonian and power law: ΔP = C·Qⁿ, so Q is explicit; one radius: τw = ΔP/w, so Q is explicit; otherwise Newton's
 *   method in ln Q inside a bracket, with the exact slope
 *
 * Valid for: steady, laminar, slender passages, no slip.
 * Shape: pieces in any order (the sum does not depend on it) and a wall curve in, one object of functions out.
 * Throws: DomainError when a size is not positive, there is no piece, a pressure or flow is not a number, or for a
 * rectangle with a resin that is not Newtonian.
 * Source: derived here. Evidence: closed forms; a sum of sections at the flow found; round trips.
 */
export function flowPath(pieces: readonly PathPiece[], curve: WallCurve): FlowPath {
  const path = compile(pieces, curve.exactIndex === 1);
  const yieldPressure = curve.yieldStress * path.yieldWeight;
  if (curve.exactIndex !== null) return powerPath(path, curve, curve.exactIndex);

  const single = path.radii.length === 1 && path.tapers.length === 0 ? path.radii[0]! : null;
  const flowAbove = (excess: number): number => {
    if (!(excess > 0)) return atRest(excess);
    if (single === null) return solve(path, curve, excess);
    return path.counts[0]! * (Math.PI * single ** 3 * curve.atExcess(excess / path.weights[0]!).reducedFlow);
  };
  const flow = (pressure: number): number => flowAbove(pressure - yieldPressure);
  const excess = (at: number): number => (isZeroFlow(at) ? 0 : evaluate(path, curve, at).excess);
  return {
    yieldPressure,
    flow,
    flowAbove,
    excess,
    pressure: at => yieldPressure + excess(at),
    slope: pressure => {
      const at = flow(pressure);
      return at === 0 ? 0 : at / evaluate(path, curve, at).slope;
    },
    kinks: () => {
      const flows = path.radii.flatMap((radius, i) =>
        curve.kinks.map(reduced => path.counts[i]! * (Math.PI * radius ** 3 * reduced)),
      );
      return flows.map(at => yieldPressure + excess(at)).sort((a, b) => a - b);
    },
  };
}

/** Q = (ΔP/C)^(1/n); for n = 1 one multiplication, which is what integrators and Monte Carlo runs see most. */
function powerPath(path: Compiled, curve: WallCurve, n: number): FlowPath {
  // C from a flow of the size that the path has at 1 Pa of wall stress, so that no power overflows
  const referenceFlow = Math.PI * Math.min(...path.radii) ** 3 * curve.atExcess(1).reducedFlow;
  const referencePressure = evaluate(path, curve, referenceFlow).excess;
  const conductance = finite(referenceFlow / referencePressure);
  const flow =
    n === 1
      ? (pressure: number) => (pressure > 0 ? conductance * pressure : atRest(pressure))
      : (pressure: number) =>
          pressure > 0 ? finite(referenceFlow * (pressure / referencePressure) ** (1 / n)) : atRest(pressure);
  const pressure = (at: number) => (isZeroFlow(at) ? 0 : referencePressure * (at / referenceFlow) ** n);
  return {
    ...{ yieldPressure: 0, flow, flowAbove: flow, pressure, excess: pressure, kinks: () => [] },
    slope: pressure =>
      n === 1 ? conductance : pressure > 0 ? flow(pressure) / (n * pressure) : n < 1 ? 0 : atRest(pressure),
  };
}

function atRest(pressure: number): 0 {
  if (Number.isNaN(pressure)) throw new DomainError('pressure', pressure, 'Pa', 'a number');
  return 0;
}

function isZeroFlow(flow: number): boolean {
  if (!(Number.isFinite(flow) && flow >= 0)) throw new DomainError('flow', flow, 'm³/s', 'finite and not below zero');
  return flow === 0;
}

function finite(flow: number): number {
  if (!Number.isFinite(flow)) throw new OverflowError('flow', flow, 'm³/s', 'small enough to be written as a number');
  return flow;
}

/** Gathers equal passages, so that each wall state is computed once. */
function compile(pieces: readonly PathPiece[], newtonian: boolean): Compiled {
  if (pieces.length === 0) throw new DomainError('pieces', 0, 'pieces', 'one or more');
  const radii: number[] = [];
  const counts: number[] = [];
  const weights: number[] = [];
  const tapers: { wide: number; narrow: number; factor: number }[] = [];
  let total = 0;
  const indexOf = (radius: number, count: number): number => {
    let i = radii.indexOf(radius);
    while (i >= 0 && counts[i] !== count) i = radii.indexOf(radius, i + 1);
    if (i < 0) {
      i = radii.push(radius) - 1;
      counts.push(count);
      weights.push(0);
    }
    return i;
  };
  const add = (radius: number, weight: number, count = 1) => {
    const i = indexOf(radius, count);
    weights[i] = weights[i]! + weight;
  };
  for (const piece of pieces) {
    if (piece.kind === 'opening') {
      requirePositive('diameter', piece.diameter, 'm');
      const { radii = OPENING_LENGTH_PER_RADIUS } = piece;
      add(piece.diameter / 2, 2 * radii);
      total += 2 * radii;
      continue;
    }
    requirePositive('front', piece.front, 'm');
    requirePositive('rear', piece.rear, 'm');
    requirePositive('length', piece.length, 'm');
    const { count = 1, sides } = piece;
    if (sides !== undefined) {
      if (!newtonian)
        throw new DomainError('sides', sides.height, 'm', 'a round passage, the resin not being Newtonian');
      const radius = Math.min(sides.width, sides.height) / 2;
      add(radius, roundWeight({ ...sides, length: piece.length }, radius), count);
      continue;
    }
    const parts = coneParts(piece);
    for (const [radius, weight] of parts.steps) add(radius, weight, count);
    if (parts.taper) {
      const { wide, narrow, factor } = parts.taper;
      tapers.push({ wide: indexOf(wide, count), narrow: indexOf(narrow, count), factor });
    }
    total += yieldWeight(parts);
  }
  return { radii, counts, weights, tapers, yieldWeight: total };
}

/** Weight [-] with which a round passage of that radius resists a Newtonian resin as the rectangle does: τw = 4η·q. */
function roundWeight(rectangle: { width: number; height: number; length: number }, radius: number): number {
  return (rectangleResistance(rectangle) * Math.PI * radius ** 3) / 4;
}

/** Pressure above the yield pressure [Pa] and its slope d/d ln Q [Pa] at a flow above zero. */
function evaluate(path: Compiled, curve: WallCurve, flow: number): { excess: number; slope: number } {
  const states: WallState[] = path.radii.map((radius, i) =>
    curve.atReducedFlow(flow / (path.counts[i]! * (Math.PI * radius ** 3))),
  );
  let excess = 0;
  let slope = 0;
  states.forEach((state, i) => {
    const weight = path.weights[i]!;
    excess += weight * state.excess;
    // dτw/d ln q = q·τw/(γ̇w − 3q)
    slope += (weight * state.stress * state.reducedFlow) / (state.shearRate - 3 * state.reducedFlow);
  });
  for (const { wide, narrow, factor } of path.tapers) {
    excess += factor * curve.excessIntegral(states[wide]!, states[narrow]!);
    slope += factor * (states[narrow]!.excess - states[wide]!.excess);
  }
  return { excess, slope };
}

/** Flow [m³/s] at a pressure above the yield pressure by `target` [Pa]. */
function solve(path: Compiled, curve: WallCurve, target: number): number {
  const logTarget = Math.log(target);
  const x = risingRoot(
    x => {
      const { excess, slope } = evaluate(path, curve, Math.exp(x));
      return [Math.log(excess) - logTarget, slope / excess];
    },
    { start: Math.log(guess(path, curve, target)) },
  );
  return finite(Math.exp(x));
}

/** The flow if all the pressure were spent at the narrowest place. */
function guess(path: Compiled, curve: WallCurve, target: number): number {
  const narrow = path.radii.indexOf(Math.min(...path.radii));
  let weight = path.weights[narrow]!;
  for (const taper of path.tapers) if (taper.narrow === narrow) weight += taper.factor;
  const { reducedFlow } = curve.atExcess(target / weight);
  return Math.max(path.counts[narrow]! * (Math.PI * path.radii[narrow]! ** 3 * reducedFlow), Number.MIN_VALUE);
}
