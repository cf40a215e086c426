import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inPercent, inWords, shortened } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import { STANDARD_GRAVITY } from '../../physics/drop/gravity.ts';
import type { NeedleFlow } from '../../physics/flow/needle-flow.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { OperatingPoint } from '../delivery/operating-point.ts';

/** Above this Reynolds number the flow is not laminar [-]. */
const MOST_REYNOLDS = 2000;
/** What is left out of the shot is said from this share of the pressure on [-]. */
const NOTICEABLE_SHARE = 0.01;
/** Steepest half-angle of a cone that the slice-by-slice flow is good for [rad]. */
const STEEPEST_CONE = (15 * Math.PI) / 180;

/** What there is to say about a steady flow through the recipe's needle at a set pressure. */
export function flowFindings(
  recipe: Recipe,
  at: { point: OperatingPoint; flow: NeedleFlow; pressure: number },
): Finding[] {
  return [
    ...restFindings(at),
    ...laminarFindings(recipe, at),
    ...coneFindings(recipe, at),
    ...curveFindings(recipe, at),
    ...leftOutFindings(recipe, at),
  ];
}

interface At {
  readonly point: OperatingPoint;
  readonly flow: NeedleFlow;
  readonly pressure: number;
}

function restFindings({ point, pressure }: At): Finding[] {
  if (pressure > point.restPressure) return [];
  const message = `at ${inWords(pressure, 'kPa')} nothing leaves the needle: it does not flow below ${inWords(point.restPressure, 'kPa')}`;
  return [deliveryFinding('resin-does-not-flow', 'settings.pressure', message)];
}

function laminarFindings({ resin }: Recipe, { flow }: At): Finding[] {
  if (resin?.density === undefined) return [];
  const findings: Finding[] = [];
  if (flow.reynolds > MOST_REYNOLDS) {
    const message = `the Reynolds number is ${Math.round(flow.reynolds)}, above ${MOST_REYNOLDS}`;
    findings.push(deliveryFinding('flow-not-laminar', 'settings.pressure', message));
  }
  if (flow.kineticShare >= NOTICEABLE_SHARE) {
    const message = `the speed of the resin takes ${inPercent(flow.kineticShare)} of the pressure, which is left out of the shot`;
    findings.push(deliveryFinding('kinetic-loss', 'settings.pressure', message));
  }
  return findings;
}

function coneFindings({ needle }: Recipe, { flow }: At): Finding[] {
  if (atMost(flow.halfAngleMax, STEEPEST_CONE)) return [];
  const angle = (section: { front: { value: number }; rear: { value: number }; length: { value: number } }) =>
    Math.atan(Math.abs(section.front.value - section.rear.value) / (2 * section.length.value));
  const steepest = needle?.sections?.find(section => angle(section) === flow.halfAngleMax);
  const message = `the cone has a half-angle of ${inWords(flow.halfAngleMax, 'deg')}, above ${inWords(STEEPEST_CONE, 'deg')}`;
  return [deliveryFinding('needle-cone-steep', steepest?.path ?? 'needle.sections', message)];
}

function curveFindings({ resin }: Recipe, { point, flow }: At): Finding[] {
  const range = point.measured;
  if (range === null || flow.flow === 0) return [];
  const [low, high] = flow.wallShearRateRange;
  const outside = !atMost(high, range[1]) ? high : !atLeast(low, range[0]) ? low : null;
  if (outside === null) return [];
  const message = `the shear rate at the wall is ${shortened(outside)} 1/s, the flow curve runs from ${shortened(range[0])} to ${shortened(range[1])} 1/s at this temperature and age`;
  const key = resin?.rheology?.model === 'table' ? 'points' : 'measured';
  return [deliveryFinding('shear-outside-curve', `resin.rheology.${key}`, message)];
}

function leftOutFindings(recipe: Recipe, { point, pressure }: At): Finding[] {
  const { density, surface_tension: surfaceTension } = recipe.resin ?? {};
  const syringe = recipe.station?.syringe;
  const findings: Finding[] = [];
  if (density !== undefined && syringe?.inside_diameter !== undefined) {
    const crossSection = (Math.PI / 4) * syringe.inside_diameter.value ** 2;
    const head = density.value * STANDARD_GRAVITY * (point.needle.length + syringe.fill.value / crossSection);
    if (head > NOTICEABLE_SHARE * pressure) {
      const message = `the resin in the full syringe weighs ${inWords(head, 'kPa')}, more than 1 % of ${inWords(pressure, 'kPa')}`;
      findings.push(deliveryFinding('head-left-out', 'settings.pressure', message));
    }
  }
  if (surfaceTension !== undefined) {
    const meniscus = (4 * surfaceTension.value) / point.needle.bore.value;
    if (meniscus > NOTICEABLE_SHARE * pressure) {
      const message = `a drop at the tip holds back up to ${inWords(meniscus, 'kPa')}, more than 1 % of ${inWords(pressure, 'kPa')}`;
      findings.push(deliveryFinding('meniscus-left-out', 'settings.pressure', message));
    }
  }
  return findings;
}
