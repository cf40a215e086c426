import { DomainError, OverflowError } from '../../numeric/domain-error.ts';
import { type Rheology, simplified } from '../rheology/rheology.ts';
import { requireRheology } from '../rheology/rheology-problems.ts';
import { smoothWallCurve } from './smooth-wall-curve.ts';
import { tableWallCurve } from './table-wall-curve.ts';
import { yieldWallCurve } from './yield-wall-curve.ts';

/** What goes on at the wall of a round tube of any size: the same for every place with the same wall stress. */
export interface WallState {
  /** τw [Pa] */ readonly stress: number;
  /** τw − τ₀ [Pa], exact where the difference of the two would cancel. */ readonly excess: number;
  /** γ̇w, the true one [1/s] */ readonly shearRate: number;
  /** q = Q/(πR³) [1/s] */ readonly reducedFlow: number;
}

/**
 * The flow curve of a resin at a tube wall, independent of the tube: q = Q/(πR³) against wall stress.
 *
 *   q(τw) = τw⁻³ ∫₀^τw τ² γ̇(τ) dτ    (Weissenberg–Rabinowitsch), hence  dq/dτw = (γ̇w − 3q)/τw
 */
export interface WallCurve {
  /** τ₀ [Pa]; 0 without one. */ readonly yieldStress: number;
  /** n when flow is the exact power q ∝ τw^(1/n) (1: Newtonian); null otherwise. */ readonly exactIndex: number | null;
  /** State at a wall stress [Pa]; all zero rates at or below the yield stress. */
  atStress(stress: number): WallState;
  /** State at a stress above the yield stress by `excess` [Pa]. */
  atExcess(excess: number): WallState;
  /** State at q above zero [1/s]. */
  atReducedFlow(reducedFlow: number): WallState;
  /** ∫ (τ − τ₀) d ln q between two flowing states [Pa]: a cone's pressure, see cone-flow. */
  excessIntegral(from: WallState, to: WallState): number;
  /** q at which the curve has a kink, rising [1/s]; none for the smooth models. */ readonly kinks: readonly number[];
}

/** The inner part of a wall curve, which only knows flowing states. */
export type FlowingCurve = Pick<WallCurve, 'atExcess' | 'atReducedFlow' | 'excessIntegral'> &
  Partial<Pick<WallCurve, 'kinks'>>;

const built = new WeakMap<Rheology, WallCurve>();

/**
 * The wall curve of a rheology; built once for the same object.
 *
 * Valid for: every accepted model; steady laminar flow without slip.
 * Shape: one rheology in, one object of functions out. Calls do not influence each other; smooth models keep panels of
 * their integral, so the first call costs most.
 * Throws: DomainError when the model's numbers are out of range, or a stress or flow handed in is.
 * Source: Chhabra & Richardson, Non-Newtonian Flow and Applied Rheology, 2nd ed., ch. 3 (from memory).
 * Evidence: the closed forms of a tube's flow and the integral over stress and over shear rate, for every model.
 */
export function wallCurve(rheology: Rheology): WallCurve {
  // Not kept where building costs less than remembering, as in a Monte Carlo run over viscosities.
  if (rheology.model === 'newtonian' || rheology.model === 'power-law') return build(rheology);
  let curve = built.get(rheology);
  if (!curve) {
    curve = build(rheology);
    built.set(rheology, curve);
  }
  return curve;
}

function build(rheology: Rheology): WallCurve {
  requireRheology(rheology);
  const r = simplified(rheology);
  switch (r.model) {
    case 'newtonian':
      return guarded(powerCurve(r.viscosity, 1), 0, 1);
    case 'power-law':
      return guarded(powerCurve(r.consistency, r.flowIndex), 0, r.flowIndex);
    case 'bingham':
    case 'casson':
    case 'herschel-bulkley':
      return guarded(yieldWallCurve(r), r.yieldStress, null);
    case 'cross':
    case 'carreau-yasuda':
      return guarded(smoothWallCurve(r), 0, null);
    case 'table':
      return guarded(tableWallCurve(r), 0, null);
  }
}

const AT_REST = { shearRate: 0, reducedFlow: 0 };

function guarded(curve: FlowingCurve, yieldStress: number, exactIndex: number | null): WallCurve {
  const atExcess = (excess: number): WallState => {
    const state = curve.atExcess(excess);
    if (!(state.reducedFlow < Number.POSITIVE_INFINITY)) {
      throw new OverflowError('stress', state.stress, 'Pa', 'low enough for a flow that can be written as a number');
    }
    return state;
  };
  return {
    yieldStress,
    exactIndex,
    atStress(stress) {
      if (!(Number.isFinite(stress) && stress >= 0)) {
        throw new DomainError('stress', stress, 'Pa', 'finite and not below zero');
      }
      return stress > yieldStress ? atExcess(stress - yieldStress) : { stress, excess: 0, ...AT_REST };
    },
    atExcess(excess) {
      if (!(Number.isFinite(excess) && excess >= 0)) {
        throw new DomainError('excess', excess, 'Pa', 'finite and not below zero');
      }
      return excess > 0 ? atExcess(excess) : { stress: yieldStress, excess: 0, ...AT_REST };
    },
    atReducedFlow(reducedFlow) {
      if (!(Number.isFinite(reducedFlow) && reducedFlow > 0)) {
        throw new DomainError('reducedFlow', reducedFlow, '1/s', 'finite and above zero');
      }
      return curve.atReducedFlow(reducedFlow);
    },
    excessIntegral: curve.excessIntegral,
    kinks: curve.kinks ?? [],
  };
}

/** τ = K·γ̇ⁿ: q = n/(3n + 1)·γ̇w and d ln q = d ln τ/n. */
function powerCurve(consistency: number, n: number): FlowingCurve {
  const share = n / (3 * n + 1);
  const state = (stress: number, shearRate: number): WallState => {
    return { stress, excess: stress, shearRate, reducedFlow: share * shearRate };
  };
  return {
    atExcess: stress => state(stress, n === 1 ? stress / consistency : (stress / consistency) ** (1 / n)),
    atReducedFlow: reducedFlow => {
      const shearRate = reducedFlow / share;
      return state(consistency * (n === 1 ? shearRate : shearRate ** n), shearRate);
    },
    excessIntegral: (from, to) => (to.stress - from.stress) / n,
  };
}
