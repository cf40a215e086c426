import { DomainError, requireFinite, requirePositive } from '../../numeric/domain-error.ts';

/** Glass transition of a resin between uncured and cured. */
export interface GlassModel {
  readonly uncured: number; // [K]
  readonly cured: number; // [K]
  /** λ [-], above 0 and at most 1: the curvature between the two. */
  readonly lambda: number;
}

/** The cure stops where the glass transition is this far above the temperature [K]; *ours, no source*. */
export const GLASS_BEYOND = 10;

/**
 * Glass transition temperature [K] at a conversion.
 *
 *   T_g = T_g0 + (T_g∞ − T_g0)·λ·α/(1 − (1 − λ)·α)
 *
 * Valid for: conversions from 0 to 1; λ = 1 is a straight line.
 * Throws: DomainError for a conversion outside 0 to 1, λ outside (0, 1], or a cured transition not above the uncured one.
 * Source: DiBenedetto's equation as Pascault & Williams, J. Polym. Sci. B 28 (1990) 85-95, write it.
 */
export function glassTransition(glass: GlassModel, conversion: number): number {
  requireGlass(glass);
  if (!(conversion >= 0 && conversion <= 1)) throw new DomainError('conversion', conversion, '-', 'from 0 to 1');
  const { uncured, cured, lambda } = glass;
  return uncured + ((cured - uncured) * lambda * conversion) / (1 - (1 - lambda) * conversion);
}

/**
 * Conversion at which the glass transition is at a temperature [K]: the inverse of {@link glassTransition}, 0 below the
 * uncured and 1 above the cured one. Throws as {@link glassTransition}.
 */
export function conversionOfGlass(glass: GlassModel, temperature: number): number {
  requireGlass(glass);
  const share = (temperature - glass.uncured) / (glass.cured - glass.uncured);
  return share <= 0 ? 0 : share >= 1 ? 1 : share / (glass.lambda + (1 - glass.lambda) * share);
}

/** Rise of the glass transition with conversion [K]: dT_g/dα. */
export function glassSlope({ uncured, cured, lambda }: GlassModel, conversion: number): number {
  return ((cured - uncured) * lambda) / (1 - (1 - lambda) * conversion) ** 2;
}

function requireGlass({ uncured, cured, lambda }: GlassModel): void {
  requirePositive('uncured', uncured, 'K');
  requireFinite('cured', cured, 'K');
  requirePositive('cured - uncured', cured - uncured, 'K');
  if (!(lambda > 0 && lambda <= 1)) throw new DomainError('lambda', lambda, '-', 'above 0 and at most 1');
}
