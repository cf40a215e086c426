import { panelIntegral } from '../../numeric/panel-integral.ts';
import { risingRoot } from '../../numeric/root.ts';
import type { HerschelBulkley, PlasticRheology } from '../rheology/rheology.ts';
import type { FlowingCurve, WallState } from './wall-curve.ts';

/** A plastic model in logarithms of s = ln(τw/τ₀ − 1), in which it is smooth and nothing cancels at the yield stress. */
interface YieldModel {
  readonly yieldStress: number;
  /** ln γ̇w as a function of s. */ logRate(s: number): number;
  /** q/γ̇w [-] at a plug ratio φ = τ₀/τw; 1 − φ beside it, since the difference would cancel. */
  share(plug: number, sheared: number): number;
  /** s at which the large-stress limit of the model has this q: a guess that is never too high. */
  guess(reducedFlow: number): number;
}

/**
 * Wall curve of Bingham, Herschel–Bulkley and Casson resins, yield stress above zero.
 *
 *   q = γ̇w·share(φ), φ = τ₀/τw, the closed forms of a tube's flow divided by γ̇w
 *   ∫ (τ − τ₀) d ln q = ∫ (γ̇w/q − 3)·(1 − φ)·(τ − τ₀) ds,  s = ln(τ/τ₀ − 1)
 *
 * Source: derived here from the closed forms and dq/dτ = (γ̇w − 3q)/τ.
 * Evidence: adaptive quadrature of the local gradient along a cone; the closed forms.
 */
export function yieldWallCurve(r: HerschelBulkley | PlasticRheology): FlowingCurve {
  const model = r.model === 'casson' ? casson(r) : herschelBulkley(r);
  const { yieldStress } = model;
  const stateAt = (s: number): WallState => {
    const ratio = Math.exp(s); // τ/τ₀ − 1
    const shearRate = Math.exp(model.logRate(s));
    const excess = yieldStress * ratio;
    const reducedFlow = shearRate * model.share(1 / (1 + ratio), shearedPart(ratio));
    return { stress: yieldStress + excess, excess, shearRate, reducedFlow };
  };
  const integral = panelIntegral(s => {
    const ratio = Math.exp(s);
    const sheared = shearedPart(ratio);
    return (1 / model.share(1 / (1 + ratio), sheared) - 3) * sheared * ratio;
  }, 1);
  return {
    atExcess: excess => stateAt(Math.log(excess / yieldStress)),
    atReducedFlow: reducedFlow => {
      const logFlow = Math.log(reducedFlow);
      const s = risingRoot(
        s => {
          const ratio = Math.exp(s);
          const sheared = shearedPart(ratio);
          const share = model.share(1 / (1 + ratio), sheared);
          return [model.logRate(s) + Math.log(share) - logFlow, (1 / share - 3) * sheared];
        },
        { start: model.guess(reducedFlow), maxStep: 1e4 },
      );
      return { ...stateAt(s), reducedFlow };
    },
    excessIntegral: (from, to) =>
      yieldStress * integral.between(Math.log(from.excess / yieldStress), Math.log(to.excess / yieldStress)),
  };
}

/** 1 − φ from τ/τ₀ − 1, without cancelling or overflowing. */
function shearedPart(ratio: number): number {
  return 1 / (1 + 1 / ratio);
}

/** τ = τ₀ + K·γ̇ⁿ; Bingham with n = 1. share = n(1−φ)[(1−φ)²/(3n+1) + 2φ(1−φ)/(2n+1) + φ²/(n+1)] */
function herschelBulkley(r: HerschelBulkley | PlasticRheology): YieldModel {
  const { yieldStress } = r;
  const [consistency, n] = r.model === 'herschel-bulkley' ? [r.consistency, r.flowIndex] : [r.viscosity, 1];
  const logYieldRate = Math.log(yieldStress / consistency);
  return {
    yieldStress,
    logRate: s => (logYieldRate + s) / n,
    share: (plug, sheared) => {
      const bracket = (sheared * sheared) / (3 * n + 1) + (2 * plug * sheared) / (2 * n + 1) + (plug * plug) / (n + 1);
      return n * sheared * bracket;
    },
    guess: reducedFlow => n * Math.log((reducedFlow * (3 * n + 1)) / n) - logYieldRate,
  };
}

/** √τ = √τ₀ + √(ηγ̇). share = (1−σ)(21 + 15σ + 10σ² + 6σ³ + 3σ⁴ + σ⁵)/84, σ = √φ */
function casson(r: PlasticRheology): YieldModel {
  const { yieldStress, viscosity } = r;
  const logScale = Math.log(yieldStress / viscosity);
  return {
    yieldStress,
    // γ̇ = (τ₀/η)(e^s/(√(1 + e^s) + 1))²
    logRate: s => logScale + 2 * (s - Math.log(Math.sqrt(1 + Math.exp(s)) + 1)),
    share: (plug, sheared) => {
      const root = Math.sqrt(plug);
      const series = 21 + root * (15 + root * (10 + root * (6 + root * (3 + root))));
      return ((sheared / (1 + root)) * series) / 84;
    },
    guess: reducedFlow => Math.log(4 * reducedFlow) - logScale,
  };
}
