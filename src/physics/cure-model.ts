import { DomainError, requireFinite, requireNonNegative, requirePositive } from '../numeric/domain-error.ts';

export interface CastroMacosko {
  readonly model: 'castro-macosko';
  /** Pre-exponential factors A₁, A₂ [1/s] and activation energies E₁, E₂ [J/mol] of kᵢ = Aᵢ·exp(−Eᵢ/(R·T)). */
  readonly A1: number;
  readonly E1: number;
  readonly A2: number;
  readonly E2: number;
  /** Orders of dα/dt = (k₁ + k₂·αᵐ)(1 − α)ⁿ [-]. */
  readonly m: number;
  readonly n: number;
  /** Conversion at the gel point α_g [-]. */
  readonly gelConversion: number;
  /** Exponents of (α_g/(α_g − α))^(c₁ + c₂·α) [-]. */
  readonly c1: number;
  readonly c2: number;
}

/** How a mixed resin thickens with age; numbers only, so that a fit can vary them. */
export type CureModel =
  | { readonly model: 'none' }
  | {
      readonly model: 'pot-life';
      /** Age [s] at which the viscosity is `factor` times the mixed one, at the reference temperature. */
      readonly time: number;
      readonly factor: number;
      /** Of the rate [J/mol]; absent: the model ignores temperature. */
      readonly activationEnergy?: number;
      readonly referenceTemperature: number; // [K]
    }
  /** Rate [1/s] before exp(−E/(R·T)), E [J/mol]. */
  | { readonly model: 'roller'; readonly rate: number; readonly activationEnergy: number }
  | CastroMacosko
  | {
      readonly model: 'table';
      /** [age s, viscosity factor -], ages rising, measured at the reference temperature. */
      readonly points: readonly (readonly [number, number])[];
      readonly referenceTemperature: number; // [K]
    };

/** Throws unless every parameter is in its range. */
export function requireCureModel(cure: CureModel): void {
  switch (cure.model) {
    case 'none':
      return;
    case 'pot-life':
      requirePositive('time', cure.time, 's');
      requirePositive('factor', cure.factor, '-');
      if (cure.factor <= 1) throw new DomainError('factor', cure.factor, '-', 'above 1');
      requireNonNegative('activationEnergy', cure.activationEnergy ?? 0, 'J/mol');
      requirePositive('referenceTemperature', cure.referenceTemperature, 'K');
      return;
    case 'roller':
      requirePositive('rate', cure.rate, '1/s');
      requireNonNegative('activationEnergy', cure.activationEnergy, 'J/mol');
      return;
    case 'castro-macosko':
      requireKinetics(cure);
      return;
    case 'table':
      requireCureTable(cure.points);
  }
}

function requireKinetics(cure: CastroMacosko): void {
  requireFinite('A1', cure.A1, '1/s');
  requireFinite('A2', cure.A2, '1/s');
  requireNonNegative('E1', cure.E1, 'J/mol');
  requireNonNegative('E2', cure.E2, 'J/mol');
  requireNonNegative('m', cure.m, '-');
  requireNonNegative('n', cure.n, '-');
  requirePositive('gelConversion', cure.gelConversion, '-');
  if (cure.gelConversion > 1) throw new DomainError('gelConversion', cure.gelConversion, '-', 'at most 1');
  requireFinite('c1', cure.c1, '-');
  requireFinite('c2', cure.c2, '-');
}

function requireCureTable(points: readonly (readonly [number, number])[]): void {
  if (points.length === 0) throw new DomainError('points.length', 0, '-', 'at least 1');
  points.forEach(([age, factor], i) => {
    requireNonNegative(`points[${i}] age`, age, 's');
    requirePositive(`points[${i}] factor`, factor, '-');
    const before = points[i - 1];
    if (before && age <= before[0]) throw new DomainError(`points[${i}] age`, age, 's', `above ${before[0]} s`);
  });
}
