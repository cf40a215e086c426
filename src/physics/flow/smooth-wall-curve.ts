import { panelIntegral } from '../../numeric/panel-integral.ts';
import { risingRoot } from '../../numeric/root.ts';
import type { CarreauYasuda, CrossRheology } from '../rheology/rheology.ts';
import { logRateAt, smoothViscosity } from '../rheology/smooth-viscosity.ts';
import type { FlowingCurve, WallState } from './wall-curve.ts';

/**
 * Wall curve of the models whose shear rate is not explicit in stress: Cross and Carreau–Yasuda.
 *
 *   q = τw⁻³ ∫ τ² γ̇ dτ = τw⁻³ ∫ τ³ γ̇ k dx,  x = ln γ̇, k = d ln τ/d ln γ̇ the local flow index: the integral by parts
 *   without its difference of two large terms
 *   ∫ τ d ln q = ∫ (γ̇/q − 3)·τ·k dx
 *
 * Source: Weissenberg–Rabinowitsch with γ̇ as the variable; the cone integral derived here from dq/dτ = (γ̇ − 3q)/τ.
 * Evidence: adaptive quadrature in shear rate and in stress, zero = infinity as the Newtonian limit.
 */
export function smoothWallCurve(r: CrossRheology | CarreauYasuda): FlowingCurve {
  // Poles of the viscosity stand at ±iπ/m (±iπ/a) from the real x axis: panels narrow enough to stay clear of them.
  const width = 1 / Math.max(1, r.model === 'cross' ? r.m : r.a);
  const moment = panelIntegral(x => {
    const rate = Math.exp(x);
    const { viscosity, index } = smoothViscosity(r, rate);
    return (viscosity * rate) ** 3 * rate * index;
  }, width);
  const flowAt = (x: number, stress: number): number => moment.below(x) / stress ** 3;
  const stateAt = (x: number): WallState => {
    const shearRate = Math.exp(x);
    const stress = shearRate * smoothViscosity(r, shearRate).viscosity;
    return { stress, excess: stress, shearRate, reducedFlow: flowAt(x, stress) };
  };
  const integral = panelIntegral(x => {
    const rate = Math.exp(x);
    const { viscosity, index } = smoothViscosity(r, rate);
    const stress = viscosity * rate;
    return (rate / flowAt(x, stress) - 3) * stress * index;
  }, width / 2);
  return {
    atExcess: stress => ({ ...stateAt(logRateAt(r, stress)), stress, excess: stress }),
    atReducedFlow: reducedFlow => {
      const logFlow = Math.log(reducedFlow);
      const x = risingRoot(
        x => {
          const rate = Math.exp(x);
          const { viscosity, index } = smoothViscosity(r, rate);
          const flow = flowAt(x, viscosity * rate);
          return [Math.log(flow) - logFlow, index * (rate / flow - 3)];
        },
        { start: Math.log(4 * reducedFlow) },
      );
      return { ...stateAt(x), reducedFlow };
    },
    excessIntegral: (from, to) => integral.between(Math.log(from.shearRate), Math.log(to.shearRate)),
  };
}
