import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { findRoot } from '../../numeric/root.ts';
import type { AirModel, AirPulse, AirPulseInput } from './air-model.ts';
import { integratePhase } from './air-phase.ts';
import { emptying, filling, type PressureCourse } from './iso6358.ts';

type Iso6358 = Extract<AirModel, { model: 'iso6358' }>;

/**
 * Ullage and hose filled from the regulator and emptied to the surroundings or the hold-back vacuum through a valve.
 *
 * The course of pressure is known in closed form (`filling`, `emptying`), so the shot is a sum of smooth integrals of
 * the flow along it: choked and subsonic filling, the hold at the set pressure, choked and subsonic emptying, cut where
 * the pressure passes friction and yield; in closed form too where the flow is proportional to the net pressure.
 * The exponent only divides the times of filling and emptying.
 */
export function iso6358Pulse(air: Iso6358, input: AirPulseInput): AirPulse {
  const { setPressure, friction, atmosphere, temperature } = input;
  const volume = input.volume ?? Number.NaN;
  requirePositive('volume', volume, 'm³');
  requirePositive('temperature', temperature, 'K');
  const conductance = input.flowConductance;
  const flow = conductance === undefined ? input.flow : (net: number) => (net > 0 ? conductance * net : 0);
  const threshold = friction + (input.yieldPressure ?? 0); // gauge pressure at which flow starts and stops
  const steadyFlow = setPressure > threshold ? flow(setPressure - friction) : 0;
  const { exponent } = air;
  const vent = atmosphere + air.ventTo;
  const supply = atmosphere + setPressure;
  const fill = filling({
    ...{ conductance: air.conductance, criticalRatio: air.criticalRatio },
    ...{ volume, temperature, exponent, from: vent, supply },
  });
  const emptyFrom = (from: number) =>
    emptying({
      ...{ conductance: air.exhaustConductance, criticalRatio: air.exhaustCriticalRatio },
      ...{ volume, temperature, exponent, from: Math.max(from, vent), vent },
    });
  const gaugeAt = (dwell: number) => (dwell >= fill.end ? setPressure : fill.pressure(dwell) - atmosphere);

  const start = fill.timeAtGap(setPressure - threshold);
  const linear = conductance !== undefined && threshold === friction ? conductance : null;
  const nothing = NOTHING * steadyFlow * fill.end;
  const charge = (time: number) =>
    steadyFlow > 0 ? chargeVolume({ fill, flow, linear, start, time, nothing, input }) : 0;
  const discharge = (peak: number) =>
    steadyFlow > 0 && peak > threshold
      ? dischargeVolume({
          course: emptyFrom(peak + atmosphere),
          flow,
          linear,
          threshold,
          ventTo: air.ventTo,
          peak,
          friction,
          nothing,
          kinks: input.kinks ?? [],
        })
      : 0;
  let whole: { charge: number; discharge: number } | null = null;
  const parts = (dwell: number) => {
    if (dwell < fill.end) return { charge: charge(dwell), discharge: discharge(gaugeAt(dwell)) };
    whole ??= { charge: charge(fill.end), discharge: discharge(setPressure) };
    return { charge: whole.charge + steadyFlow * (dwell - fill.end), discharge: whole.discharge };
  };
  const total = (dwell: number) => {
    const both = parts(dwell);
    return both.charge + both.discharge;
  };

  return {
    steadyFlow,
    timeTo95: fill.timeAtGap(0.05 * setPressure),
    shot: dwell => {
      requireNonNegative('dwell', dwell, 's');
      const both = parts(dwell);
      const peakPressure = gaugeAt(dwell);
      const moved = both.charge + both.discharge > 0;
      const tail = moved ? emptyFrom(peakPressure + atmosphere).timeAtGap(threshold - air.ventTo) : 0;
      return {
        volume: both.charge + both.discharge,
        ooze: both.discharge,
        peakPressure,
        flowEnd: moved ? dwell + tail : 0,
      };
    },
    dwellForVolume: wanted => {
      requireNonNegative('volume', wanted, 'm³');
      if (wanted === 0) return 0;
      if (!(steadyFlow > 0)) return null;
      const full = total(fill.end);
      if (wanted >= full) return fill.end + (wanted - full) / steadyFlow;
      return findRoot(dwell => total(dwell) - wanted, start, fill.end, { relative: 1e-12 });
    },
    pressureAt: ({ dwell, time }) => {
      if (time <= dwell) return gaugeAt(Math.max(time, 0));
      const course = emptyFrom(gaugeAt(dwell) + atmosphere);
      return time - dwell >= course.end ? air.ventTo : course.pressure(time - dwell) - atmosphere;
    },
  };
}

/**
 * Share of what flows steadily while the ullage fills, below which no volume matters: a shot that hardly begins is the flow of differences of
 * pressures that are rounding, which no panels make smooth.
 */
const NOTHING = 1e-15;

interface Charge {
  fill: PressureCourse;
  flow: (net: number) => number;
  /** Flow over net pressure where it is a constant [m³/(s·Pa)]. */ linear: number | null;
  /** When the flow starts [s]. */ start: number;
  /** Until when [s], at most the end of the filling. */ time: number;
  /** Volume that does not matter [m³]. */ nothing: number;
  input: AirPulseInput;
}

/** What leaves while the pressure rises [m³]. */
function chargeVolume({ fill, flow, linear, start, time, nothing, input }: Charge): number {
  const { setPressure, friction, atmosphere } = input;
  if (linear !== null) {
    if (time <= start) return 0;
    const chokedEnd = Math.min(time, fill.sonicEnd);
    const choked =
      chokedEnd > start ? fill.pressureOverTime(start, chokedEnd) - (atmosphere + friction) * (chokedEnd - start) : 0;
    const turn = Math.max(start, fill.sonicEnd);
    if (time <= turn) return linear * choked;
    const lacking = fill.gapOverTime(fill.angle(time), fill.angle(turn));
    return linear * (choked + (setPressure - friction) * (time - turn) - lacking);
  }
  const kinkTimes = (input.kinks ?? [])
    .filter(net => net + friction < setPressure)
    .map(net => fill.timeAtGap(setPressure - net - friction));
  const choked = integratePhase({
    absolute: nothing,
    rate: t => flow(fill.pressure(t) - atmosphere - friction),
    from: start,
    to: Math.min(time, fill.sonicEnd),
    soft: 'from',
    cuts: kinkTimes,
  });
  const begin = Math.max(start, fill.sonicEnd);
  if (time <= begin) return choked;
  const subsonic = integratePhase({
    absolute: nothing,
    rate: chi => flow(setPressure - fill.gap(chi) - friction) * fill.pace(chi),
    from: fill.angle(time),
    to: fill.angle(begin),
    cuts: kinkTimes.filter(t => t > begin).map(t => fill.angle(t)),
    ...(start > fill.sonicEnd ? { soft: 'to' as const } : {}),
  });
  return choked + subsonic;
}

interface Discharge {
  course: PressureCourse;
  flow: (net: number) => number;
  linear: number | null;
  threshold: number;
  ventTo: number;
  peak: number;
  friction: number;
  /** Volume that does not matter [m³]. */ nothing: number;
  /** Net pressures [Pa]. */ kinks: readonly number[];
}

/** What leaves while the pressure falls, until it passes the threshold [m³]. */
function dischargeVolume({
  course,
  flow,
  linear,
  threshold,
  ventTo,
  peak,
  friction,
  nothing,
  kinks,
}: Discharge): number {
  const end = course.timeAtGap(threshold - ventTo);
  const early = end <= course.sonicEnd;
  const chokedEnd = Math.min(end, course.sonicEnd);
  const atmosphere = course.pressure(0) - peak;
  if (linear !== null) {
    const choked = course.pressureOverTime(0, chokedEnd) - (atmosphere + friction) * chokedEnd;
    if (early) return linear * choked;
    const above = course.gapOverTime(threshold > ventTo ? course.angle(end) : 0, course.angle(course.sonicEnd));
    return linear * (choked + above - (friction - ventTo) * (end - course.sonicEnd));
  }
  const kinkTimes = kinks
    .filter(net => net + friction > ventTo && net + friction < peak)
    .map(net => course.timeAtGap(net + friction - ventTo));
  const choked = integratePhase({
    absolute: nothing,
    rate: t => flow(course.pressure(t) - atmosphere - friction),
    from: 0,
    to: chokedEnd,
    cuts: kinkTimes,
    ...(early ? { soft: 'to' as const } : {}),
  });
  if (early) return choked;
  const subsonic = integratePhase({
    absolute: nothing,
    rate: chi => flow(ventTo + course.gap(chi) - friction) * course.pace(chi),
    from: threshold > ventTo ? course.angle(end) : 0,
    to: course.angle(course.sonicEnd),
    cuts: kinkTimes.filter(t => t > course.sonicEnd).map(t => course.angle(t)),
    soft: 'from',
  });
  return choked + subsonic;
}
