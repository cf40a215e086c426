import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { gaussLegendre } from '../../numeric/gauss-legendre.ts';

export interface ConeGeometry {
  /** Diameter at one end [m]. */ readonly front: number;
  /** Diameter at the other end [m]. */ readonly rear: number;
  /** Length along the axis [m]. */ readonly length: number;
}

function requireCone({ front, rear, length }: ConeGeometry): void {
  requirePositive('front', front, 'm');
  requirePositive('rear', rear, 'm');
  requirePositive('length', length, 'm');
}

/**
 * Pressure drop [Pa] of a Newtonian flow through a slender cone.
 *
 *   ΔP = 128·η·Q·L·(d₁² + d₁d₂ + d₂²)/(3π·d₁³·d₂³)
 *
 * Valid for: half-angles up to about 15° (lubrication: the local gradient is that of a tube); a cylinder when d₁ = d₂.
 * Shape: scalars in, one scalar out; the direction of flow does not matter.
 * Throws: DomainError when a size or the viscosity is not positive, or the flow is negative.
 * Source: integral of Hagen–Poiseuille's gradient along the axis (derivation in three lines: R is linear in z).
 * Evidence: equal diameters, the numeric gradient.
 */
export function newtonianConePressureDrop(
  p: ConeGeometry & { /** η [Pa·s] */ readonly viscosity: number /** Q [m³/s] */; readonly flow: number },
): number {
  requireCone(p);
  requirePositive('viscosity', p.viscosity, 'Pa·s');
  requireNonNegative('flow', p.flow, 'm³/s');
  const { front: d1, rear: d2 } = p;
  const sizes = (d1 * d1 + d1 * d2 + d2 * d2) / (3 * Math.PI * d1 ** 3 * d2 ** 3);
  return 128 * p.viscosity * p.flow * p.length * sizes;
}

/**
 * What a cone is made of for any resin: either steps of constant radius or a true cone.
 *
 *   ΔP = ∫ 2τw(Q/(πR³))/R dz. With q = Q/(πR³) and R linear in z this is 2L/(3(R₁ − R₂)) ∫ τw d ln q from the wide to
 *   the narrow end, which depends on the resin's wall curve alone.
 *
 * Valid for: as {@link newtonianConePressureDrop}. Source: derived here.
 * Evidence: closed forms of Newtonian and power-law resins; adaptive quadrature along the axis, for every model.
 */
export interface ConeParts {
  /** Radius [m] and 2·length/radius [-] of each step. */ readonly steps: readonly (readonly [number, number])[];
  readonly taper: {
    readonly wide: number;
    readonly narrow: number /** 2L/(3(R₁ − R₂)) [-] */;
    readonly factor: number;
  } | null;
}

/** Up to this ratio of radii the cone is stepped: its integral between two nearly equal stresses would cancel. */
const STEPPED_UP_TO = 1.001;
const STEPS = gaussLegendre(8);

/** Splits a cone: a gentle one into Gauss–Legendre steps along the axis (exact to 1e-14), a steep one left whole. */
export function coneParts({ front, rear, length }: ConeGeometry): ConeParts {
  const wide = Math.max(front, rear) / 2;
  const narrow = Math.min(front, rear) / 2;
  if (wide === narrow) return { steps: [[wide, (2 * length) / wide]], taper: null };
  if (wide > STEPPED_UP_TO * narrow) {
    return { steps: [], taper: { wide, narrow, factor: (2 * length) / (3 * (wide - narrow)) } };
  }
  const steps = STEPS.nodes.map((node, i) => {
    const radius = 0.5 * (wide + narrow) + 0.5 * (wide - narrow) * node;
    return [radius, (STEPS.weights[i]! * length) / radius] as const;
  });
  return { steps, taper: null };
}

/** Yield pressure of a cone over yield stress [-]: ∫ 2/R dz = 2L ln(R₁/R₂)/(R₁ − R₂). */
export function yieldWeight({ steps, taper }: ConeParts): number {
  if (taper) return 3 * taper.factor * Math.log(taper.wide / taper.narrow);
  return steps.reduce((sum, [, weight]) => sum + weight, 0);
}
