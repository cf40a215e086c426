import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { solveOde } from '../../numeric/ode.ts';
import { findRoot } from '../../numeric/root.ts';

export interface CupHeat {
  /** Rate of conversion [1/s] at a conversion and a temperature [K]. */
  rate: (conversion: number, temperature: number) => number;
  heatOfReaction: number; // [J/kg]
  heatCapacity: number; // [J/(kg.K)]
  density: number; // [kg/m³]
  /** Of the cup, inside [m]. */
  diameter: number;
  /** Heat that leaves through the wall [W/(m².K)]. */
  wall: number;
  /** Of the room; the mix starts at it [K]. */
  room: number;
}

export interface CupCourse {
  /** Highest temperature [K] and when [s]. */
  readonly peak: number;
  readonly peakTime: number;
}

/** How long a cup is looked at [s]: 30 days. */
const HORIZON = 2_592_000;
/** What a balance may take; a cup that needs more is stiffer than any. */
const MOST_STEPS = 20_000;
/** The largest mass that is looked at [kg]; far more than anybody mixes in a cup. */
const MOST = 1000;

/** Surface [m²] through which the heat of a mass in a cup leaves: wall, bottom and top, A = π·D·H + π·D²/2. */
export function cupSurface(p: { mass: number; density: number; diameter: number }): number {
  const volume = p.mass / p.density;
  return (4 * volume) / p.diameter + (Math.PI * p.diameter ** 2) / 2;
}

/**
 * How a mixed mass heats itself in its cup, up to its peak.
 *
 *   ρ·c·dT/dt = ρ·ΔH·dα/dt − (h·A/V)·(T − T∞), dα/dt = rate(α, T), T(0) = T∞, α(0) = 0
 *
 * One temperature for the whole mass; with h·(V/A)/k above 0.1 the core is hotter than this (Biot number).
 * Throws: DomainError for sizes or properties that are not positive; ConvergenceError.
 * Source: heat balance of a stirred batch; Semenov, Z. Phys. Chem. 48 (1928) 571 (from memory) for its limit.
 * Evidence: adiabatic line ΔT = ΔH·α/c; Newton's cooling; Semenov's critical temperature for a rate without consumption.
 */
export function cupCourse(cup: CupHeat & { mass: number; until?: number }): CupCourse {
  requirePositive('mass', cup.mass, 'kg');
  requireCup(cup);
  const { rate, room, heatOfReaction, heatCapacity } = cup;
  const loss = (cup.wall * cupSurface(cup)) / (cup.mass * heatCapacity); // [1/s]
  const rise = heatOfReaction / heatCapacity; // [K]
  const warming = (conversion: number, excess: number) => rise * rate(conversion, room + excess) - loss * excess;
  // Once it cools and further conversion slows it, nothing makes it warm again.
  const over = (conversion: number, excess: number) => {
    const next = Math.min(1, conversion + 1e-6);
    const quickens = rate(next, room + excess) > rate(conversion, room + excess);
    return quickens ? 1 : warming(conversion, excess);
  };
  let peak = 0;
  let peakTime = 0;
  // In the excess over the room, so that a small rise keeps its digits.
  const end = solveOde({
    derivative: (_, y, dy) => {
      dy[0] = rate(Math.min(1, y[0]!), room + y[1]!);
      dy[1] = rise * dy[0]! - loss * y[1]!;
    },
    ...{ from: 0, to: cup.until ?? HORIZON, initial: [0, 0], absolute: [1e-14, 1e-10] },
    // A reaction that comes to rest ends the look: after it the mass only cools.
    event: [
      { value: (_, y) => warming(Math.min(1, y[0]!), y[1]!), direction: -1, terminal: false },
      { value: (_, y) => 1 - 1e-9 - y[0]!, direction: -1 },
      { value: (_, y) => over(Math.min(1, y[0]!), y[1]!), direction: -1 },
    ],
    maxSteps: MOST_STEPS,
    onStep: ({ to, at }) => {
      if (at(to)[1]! <= peak) return;
      peak = at(to)[1]!;
      peakTime = to;
    },
  });
  for (const { t, y } of end.passed) {
    if (y[1]! < peak) continue;
    peak = y[1]!;
    peakTime = t;
  }
  return { peak: room + peak, peakTime };
}

/**
 * Greatest mass [kg] whose temperature rises by at most `rise` [K] within `until` [s]; null where every mass keeps to it, 0 where none does.
 * Throws: DomainError as {@link cupCourse}, and for a rise or time that is not positive.
 */
export function largestMass(cup: CupHeat & { rise: number; until: number }): number | null {
  requirePositive('rise', cup.rise, 'K');
  requireNonNegative('until', cup.until, 's');
  requireCup(cup);
  if (cup.until === 0) return null;
  const over = (logMass: number) => cupCourse({ ...cup, mass: Math.exp(logMass) }).peak - cup.room - cup.rise;
  let high = Math.log(MOST);
  if (over(high) <= 0) return null;
  if (cup.wall === 0) return 0; // nothing carries the heat away, whatever the mass
  // From above: the smaller the mass the stiffer its balance, and far below the answer nobody needs it.
  while (over(high - 1) > 0) high -= 1;
  return Math.exp(findRoot(over, high - 1, high, { absolute: 1e-9 }));
}

function requireCup(cup: CupHeat): void {
  requireNonNegative('heatOfReaction', cup.heatOfReaction, 'J/kg');
  requirePositive('heatCapacity', cup.heatCapacity, 'J/(kg.K)');
  requirePositive('density', cup.density, 'kg/m³');
  requirePositive('diameter', cup.diameter, 'm');
  requireNonNegative('wall', cup.wall, 'W/(m².K)');
  requirePositive('room', cup.room, 'K');
}
