import { panelCurve } from '../../numeric/panel-curve.ts';
import type { Rheology } from '../rheology/rheology.ts';
import type { ReadyNeedle } from './needle-flow.ts';

/** Pressures above the yield pressure for which the curve is kept [Pa]; outside, which is seldom, the needle is asked. */
const KEPT = { from: 100, to: 5e6 } as const;

/**
 * Flow through a needle [m³/s] at a net pressure [Pa], for integrals over the course of a pressure.
 *
 *   Q = exp(c(ln(p − p_yield))), c the Chebyshev interpolant of the needle's own ln Q on narrow panels
 *
 * Every model but the table is smooth in these logarithms, so that the interpolant is right to 1e-11 and the shot to its
 * 1e-6. Newtonian and power-law resins and tables are left as they are: the first two are one power, the last has kinks.
 * Valid for, throws: as `ReadyNeedle.flow`, at any pressure.
 * Shape: a needle in, a function out; it pays from some hundred pressures on.
 * Source: derived here. Evidence: the needle itself, for every model, plain and tapered.
 */
export function quickFlow(needle: ReadyNeedle): (netPressure: number) => number {
  const width = panelWidth(needle.rheology);
  if (width === null) return needle.flow;
  const curve = panelCurve(x => Math.log(needle.flow(needle.yieldPressure + Math.exp(x))), width);
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
    default:
      return null;
  }
}
