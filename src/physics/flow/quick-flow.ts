import { panelCurve } from '../../numeric/panel-curve.ts';
import type { Rheology, TableRheology } from '../rheology/rheology.ts';
import { shearTable } from '../rheology/shear-table.ts';
import type { ReadyNeedle } from './needle-flow.ts';

/** Pressures above the yield pressure for which the curve is kept [Pa]; outside, which is seldom, the needle is asked. */
const KEPT = { from: 100, to: 5e6 } as const;

/**
 * Flow through a needle [m³/s] at a net pressure [Pa], for integrals over the course of a pressure.
 *
 *   Q = exp(c(ln(p − p_yield))), c the Chebyshev interpolant of the needle's own ln Q on narrow panels
 *
 * Every model is smooth in these logarithms, a table between its kinks, where the panels break: so the interpolant is right
 * to 1e-11 and the shot to its 1e-6. Newtonian and power-law resins are left as they are: each is one power.
 * Valid for, throws: as `ReadyNeedle.flow`, at any pressure.
 * Shape: a needle in, a function out; it pays from some hundred pressures on.
 * Source: derived here. Evidence: the needle itself, for every model, plain and tapered.
 */
export function quickFlow(needle: ReadyNeedle): (netPressure: number) => number {
  const width = panelWidth(needle.rheology);
  if (width === null) return needle.flow;
  const kinks = needle.kinks().map(pressure => Math.log(pressure - needle.yieldPressure));
  const curve = panelCurve(x => Math.log(needle.flow(needle.yieldPressure + Math.exp(x))), width, kinks);
  return netPressure => {
    const excess = netPressure - needle.yieldPressure;
    if (!(excess >= KEPT.from && excess <= KEPT.to)) return needle.flow(netPressure);
    return Math.exp(curve(Math.log(excess)));
  };
}

/** Panels narrow against the distance of the next complex singularity of ln Q; null where nothing is gained. */
function panelWidth(rheology: Rheology): number | null {
  switch (rheology.model) {
    case 'cross':
      return 0.5 / Math.max(1, rheology.m);
    case 'carreau-yasuda':
      return 0.5 / Math.max(1, rheology.a);
    case 'herschel-bulkley':
    case 'bingham':
    case 'casson':
      return 0.5;
    case 'table':
      return tablePanel(rheology.points);
    default:
      return null;
  }
}

/** On a piece q = A·τ⁻³ + B·τ^(1/n), whose logarithm is singular where both are of one size: at ±iπ/(3 + 1/n). */
function tablePanel(points: TableRheology['points']): number {
  const { indices } = shearTable(points);
  const steepest = Math.min(...indices);
  return Math.min(0.5, (0.5 * Math.PI) / (3 + 1 / steepest));
}
