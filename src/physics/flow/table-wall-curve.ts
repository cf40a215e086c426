import { type PanelIntegral, panelIntegral } from '../../numeric/panel-integral.ts';
import type { TableRheology } from '../rheology/rheology.ts';
import { pieceOf, type ShearTable, shearTable } from '../rheology/shear-table.ts';
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
  const panels: (PanelIntegral | undefined)[] = [];
  /** Over a stretch of one piece; the panels start with the piece, before which its formula is another's. */
  const within = (i: number, from: number, to: number): number => {
    if (i === 0) return (table.stressAt(to) - table.stressAt(from)) / indices[0]!;
    const n = indices[i]!;
    const integrand = (x: number) => {
      const rate = rates[i]! * Math.exp(x);
      return (rate / table.flowIn(i, rate) - 3) * table.stressIn(i, rate) * n;
    };
    panels[i] ??= panelIntegral(integrand, panelWidth(table, i));
    return panels[i].between(Math.log(from / rates[i]!), Math.log(to / rates[i]!));
  };
  const whole = (i: number): number => within(i, rates[i]!, rates[i + 1]!);
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

/**
 * Width [-] of the panels in ln γ̇ on a piece: two thirds of the way to the nearest zero of its q, where γ̇/q has a pole.
 *
 *   q/γ̇ᵢ = a·e^x + b·e^(−3nx), a = n/(3n + 1), b = qᵢ/γ̇ᵢ − a: for b > 0 at a distance π/(3n + 1) off the real axis, for b < 0
 *   before the piece at ln(−b/a)/(3n + 1)
 */
function panelWidth({ rates, flows, indices }: ShearTable, i: number): number {
  const n = indices[i]!;
  const a = n / (3 * n + 1);
  const b = flows[i]! / rates[i]! - a;
  const distance = b >= 0 ? Math.PI : Math.min(Math.PI, -Math.log(-b / a));
  return Math.min(1, distance / (3 * n + 1) / 1.5);
}
