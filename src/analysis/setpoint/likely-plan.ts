import type { OperatingPoint } from '../delivery/operating-point.ts';
import type { RampPlan, RampShot } from '../program/ramp-shots.ts';

/** So many shots of a run are worked out; what lies between them follows the steady flow. */
const NODES = 12;
/** Step of the dwell that shows how the volume grows with it [-]. */
const STEP = 0.1;

/** A shot that was worked out: its exact dwell, and how the volume grows with the dwell there. */
interface Node {
  readonly lnFlow: number;
  readonly lnDwell: number;
  /** d ln V/d ln(dwell) as a secant over `STEP` [-]. */ readonly growth: number;
}

/**
 * The plan of a run at another pressure, near enough to tell which pressures are worth a plan of their own: about 1e-4 in
 * volume, for a tenth of its cost. Null where nothing flows.
 *
 *   ln(dwell) and d ln V/d ln(dwell) linear in ln(steady flow) between shots that are worked out
 *
 * The run ends where that of the given plan does, or before a dwell that the station does not make.
 */
export function likelyPlan(given: RampPlan, pressure: number): RampPlan | null {
  const { shots, aim, limits } = given;
  const lnFlow = shots.map(({ point }) => Math.log(point.steadyFlow(pressure)));
  if (lnFlow.some(value => !Number.isFinite(value))) return null;
  const count = Math.min(NODES, shots.length);
  const places = Array.from({ length: count }, (_, k) => Math.round((k * (shots.length - 1)) / Math.max(1, count - 1)));
  const nodes = places.map(i => nodeAt(shots[i]!.point, { pressure, volume: aim.aim, lnFlow: lnFlow[i]! }));
  if (nodes.some(node => node === null)) return null;
  const made: RampShot[] = [];
  let k = 0;
  for (const [i, shot] of shots.entries()) {
    while (k < count - 2 && places[k + 1]! <= i) k++;
    const { lnDwell, growth } = between(nodes[k]!, nodes[Math.min(k + 1, count - 1)]!, lnFlow[i]!);
    const exact = Math.exp(lnDwell);
    if (!(exact >= limits.min && exact <= limits.max)) break;
    made.push({ ...shot, exact, error: dwell => growth * (dwell / exact - 1) });
  }
  const last = made.at(-1);
  return last === undefined
    ? null
    : { ...given, fixed: pressure, shots: made, end: { ...given.end, shot: last.shot, age: last.age } };
}

function nodeAt(point: OperatingPoint, wanted: { pressure: number; volume: number; lnFlow: number }): Node | null {
  const { pressure, volume, lnFlow } = wanted;
  const dwell = point.dwellFor({ pressure, volume });
  if (dwell === null || !(dwell > 0)) return null;
  const more = point.deliver({ pressure, dwell: dwell * (1 + STEP) }).volume;
  return { lnFlow, lnDwell: Math.log(dwell), growth: (more / volume - 1) / STEP };
}

function between(a: Node, b: Node, lnFlow: number): Pick<Node, 'lnDwell' | 'growth'> {
  const span = b.lnFlow - a.lnFlow;
  // a flow that comes back to where it was: the dwell is its inverse
  if (Math.abs(span) < 1e-6) return { lnDwell: a.lnDwell - (lnFlow - a.lnFlow), growth: a.growth };
  const share = (lnFlow - a.lnFlow) / span;
  return { lnDwell: a.lnDwell + share * (b.lnDwell - a.lnDwell), growth: a.growth + share * (b.growth - a.growth) };
}
