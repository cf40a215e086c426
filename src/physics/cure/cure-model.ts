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
