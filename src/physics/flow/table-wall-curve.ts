import { integrate } from '../../numeric/quadrature.ts';
import type { TableRheology } from '../rheology/rheology.ts';
import { pieceOf, shearTable } from '../rheology/shear-table.ts';
import type { FlowingCurve, WallState } from './wall-curve.ts';

/**
 * Wall curve of a measured flow curve; tube flow in closed form piece by piece (see shear-table).
 *
 *   ∫ τ d ln q = ∫ (γ̇/q − 3)·τ·nᵢ d ln γ̇ piece by piece; on the first piece, a pure power law, (τ₂ − τ₁)/n₀
 *
 * Source: derived here from dq/dτ = (γ̇ − 3q)/τ.
 * Evidence: points on one power law; adaptive quadrature of the local gradient along a cone.
 */
export function tableWallCurve(r: TableRheology): FlowingCurve {
  const table = shearTable(r.points);
  const { rates, indices } = table;
  const stateAt = (shearRate: number): WallState => {
    const stress = table.stressAt(shearRate);
    return { stress, excess: stress, shearRate, reducedFlow: table.reducedFlowAt(shearRate) };
  };
  const wholePieces: (number | undefined)[] = [];
  const within = (i: number, from: number, to: number): number => {
    if (i === 0) return (table.stressAt(to) - table.stressAt(from)) / indices[0]!;
    const n = indices[i]!;
    const f = (x: number) => {
      const rate = Math.exp(x);
      return (rate / table.reducedFlowAt(rate) - 3) * table.stressAt(rate) * n;
    };
    return integrate(f, Math.log(from), Math.log(to), { relative: 1e-11 });
  };
  const whole = (i: number): number => {
    wholePieces[i] ??= within(i, rates[i]!, rates[i + 1]!);
    return wholePieces[i]!;
  };
  const between = (from: number, to: number): number => {
    if (to < from) return -between(to, from);
    const first = pieceOf(rates, from);
    const last = pieceOf(rates, to);
    if (first === last) return within(first, from, to);
    let sum = within(first, from, rates[first + 1]!) + within(last, rates[last]!, to);
    for (let i = first + 1; i < last; i++) sum += whole(i);
    return sum;
  };
  return {
    atExcess: stress => ({ ...stateAt(table.rateAt(stress)), stress, excess: stress }),
    atReducedFlow: reducedFlow => ({ ...stateAt(table.rateAtReducedFlow(reducedFlow)), reducedFlow }),
    excessIntegral: (from, to) => between(from.shearRate, to.shearRate),
    kinks: table.flows.slice(1, -1),
  };
}
