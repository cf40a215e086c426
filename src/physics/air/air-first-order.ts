import { requireNonNegative } from '../../numeric/domain-error.ts';
import { findRoot } from '../../numeric/root.ts';
import type { AirModel, AirPulse, AirPulseInput, AirShot } from './air-model.ts';
import { integratePhase, openPhase } from './air-phase.ts';

type FirstOrder = Extract<AirModel, { model: 'first-order' }>;

/** After this many time constants the rise is over to the last bit (e⁻⁴⁰ = 4e-18). */
const LONG = 40;

/**
 * Pressure that follows the valve with an exponential lag.
 *
 *   p = p_s·(1 − e^(−(t − delay)/rise)) from delay to dwell + delay, then p_peak·e^(−(t − dwell − delay)/fall)
 *
 * The delay is on both edges, so it moves the pulse and leaves the shot as it is; what leaves during it counts as ooze.
 * Resin proportional to pressure (G) with friction f, p_peak the pressure at the turn, t_f when the rise passes f:
 *   V = G·[(p_s − f)·(dwell − t_f) + (fall − rise)·(p_peak − f) − f·fall·ln(p_peak/f)]
 * Source: integrated from the lag. Evidence: fine Runge–Kutta integration; G·p_s·dwell for rise = fall, f = 0.
 */
export function firstOrderPulse(air: FirstOrder, input: AirPulseInput): AirPulse {
  const { setPressure, friction } = input;
  const conductance = input.flowConductance;
  const flow = conductance === undefined ? input.flow : (net: number) => (net > 0 ? conductance * net : 0);
  const threshold = friction + (input.yieldPressure ?? 0); // gauge pressure at which flow starts and stops
  const steadyFlow = setPressure > threshold ? flow(setPressure - friction) : 0;
  const flows = steadyFlow > 0;
  const risen = (time: number) =>
    air.rise === 0 ? (time > 0 ? setPressure : 0) : -setPressure * Math.expm1(-Math.max(time, 0) / air.rise);
  const start = flows && air.rise > 0 ? -air.rise * Math.log1p(-threshold / setPressure) : 0;
  const linear = conductance !== undefined && threshold === friction;
  const kinks = (input.kinks ?? [])
    .map(net => net + friction)
    .filter(gauge => gauge > threshold && gauge < setPressure);
  const timeOf = (gauge: number) => -air.rise * Math.log1p(-gauge / setPressure);
  const rising = (time: number) => (time > start && flows ? riseVolume(time) : 0);
  const falling = (peak: number) => (air.fall === 0 ? 0 : tail(peak));

  // What is missing to the steady flow, over u = e^(−t/rise); smooth down to u = 0.
  const missing = openPhase({
    rate: u => (steadyFlow - flow(setPressure * (1 - u) - friction)) / u,
    fixed: 1 - threshold / setPressure,
    cuts: kinks.map(gauge => 1 - gauge / setPressure),
  });
  const tail = openPhase({
    rate: p => (air.fall * flow(p - friction)) / p, // over dp, since dt = −fall·dp/p
    fixed: threshold,
    cuts: kinks,
  });

  function riseVolume(time: number): number {
    if (linear) return conductance! * ((setPressure - friction) * (time - start) - air.rise * (risen(time) - friction));
    if (air.rise === 0) return steadyFlow * time;
    const rate = (t: number) => flow(risen(t) - friction);
    if (time - start < air.rise)
      return integratePhase({ rate, from: start, to: time, soft: 'from', cuts: kinks.map(timeOf) });
    const lost = air.rise * missing(Math.exp(-Math.min(time / air.rise, LONG)));
    return steadyFlow * (time - start) - lost;
  }

  function totalVolume(dwell: number): number {
    const peak = risen(dwell);
    if (!flows || peak <= threshold) return 0;
    if (!linear) return rising(dwell) + falling(peak);
    const rest = friction > 0 ? friction * air.fall * Math.log(peak / friction) : 0;
    const swing = (air.fall - air.rise) * (peak - friction);
    return conductance! * ((setPressure - friction) * (dwell - start) + swing - rest);
  }

  return {
    steadyFlow,
    timeTo95: air.delay + air.rise * Math.log(20),
    shot: dwell => {
      requireNonNegative('dwell', dwell, 's');
      const peak = risen(dwell);
      const volume = totalVolume(dwell);
      return {
        volume,
        // an integral of its own, and most callers ask for the volume alone
        get ooze() {
          return volume > 0 ? volume - rising(dwell - air.delay) : 0;
        },
        peakPressure: peak,
        flowEnd: flowEnd(dwell, peak, volume),
      };
    },
    dwellForVolume: volume => {
      requireNonNegative('volume', volume, 'm³');
      if (volume === 0) return 0;
      if (!flows) return null;
      const settled = start + LONG * air.rise;
      const full = totalVolume(settled);
      if (volume >= full) return settled + (volume - full) / steadyFlow;
      return findRoot(dwell => totalVolume(dwell) - volume, start, settled, { relative: 1e-12 });
    },
    pressureAt: ({ dwell, time }) => {
      const t = time - air.delay;
      if (t <= dwell) return risen(t);
      return air.fall === 0 ? 0 : risen(dwell) * Math.exp(-(t - dwell) / air.fall);
    },
  };

  function flowEnd(dwell: number, peak: number, volume: number): AirShot['flowEnd'] {
    if (!(volume > 0)) return 0;
    if (air.fall === 0) return dwell + air.delay;
    return threshold > 0 ? dwell + air.delay + air.fall * Math.log(peak / threshold) : null;
  }
}
