import { DomainError, requireFinite, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { firstOrderPulse } from './air-first-order.ts';
import { iso6358Pulse } from './air-iso6358.ts';
import type { AirPulse, AirPulseInput } from './air-model.ts';
import { requireAirModel } from './air-problems.ts';

export type { AirModel, AirPulse, AirPulseInput } from './air-model.ts';

/**
 * A pressure setting with its air and resin, ready for any dwell; what does not depend on the dwell is worked out once.
 *
 *   V = ∫ Q(p(t) − friction) dt from valve open until the flow stops after venting; ooze is the part after the dwell
 *
 * Valid for: quasi-steady resin flow; air volume constant during one shot.
 * Throws: DomainError for arguments that are not physical; `iso6358` needs `volume`.
 * Evidence: fine fixed-step integration of the differential equations for all models; limits for an ideal valve.
 */
export function makeAirPulse(input: AirPulseInput): AirPulse {
  requireNonNegative('setPressure', input.setPressure, 'Pa');
  requireNonNegative('friction', input.friction, 'Pa');
  requireNonNegative('yieldPressure', input.yieldPressure ?? 0, 'Pa');
  requirePositive('atmosphere', input.atmosphere, 'Pa');
  requireAirModel(input.air, input.atmosphere);
  if (input.flowConductance !== undefined) requireNonNegative('flowConductance', input.flowConductance, 'm³/(s·Pa)');
  switch (input.air.model) {
    case 'ideal':
      return idealPulse(input);
    case 'first-order':
      return firstOrderPulse(input.air, input);
    case 'iso6358':
      return iso6358Pulse(input.air, input);
  }
}

/**
 * The shot [m³] for air that stays at its temperature (exponent 1) and for air that exchanges no heat (1.4): the air
 * model's own bound. Null for models without an exponent.
 */
export function boundVolumes({ dwell, ...input }: AirPulseInput & { dwell: number }): [number, number] | null {
  const { air } = input;
  if (air.model !== 'iso6358') return null;
  const at = (exponent: number) => makeAirPulse({ ...input, air: { ...air, exponent } }).shot(dwell).volume;
  return [at(1), at(1.4)];
}

/** The set pressure for exactly the dwell: V = Q·dwell, no ooze. */
function idealPulse({ setPressure, friction, flow, flowConductance, yieldPressure }: AirPulseInput): AirPulse {
  const net = setPressure - friction;
  const moves = net > (yieldPressure ?? 0);
  const steadyFlow = !moves ? 0 : flowConductance === undefined ? flow(net) : flowConductance * net;
  return {
    steadyFlow,
    timeTo95: 0,
    shot: dwell => {
      requireNonNegative('dwell', dwell, 's');
      return {
        volume: steadyFlow * dwell,
        ooze: 0,
        peakPressure: dwell > 0 ? setPressure : 0,
        flowEnd: steadyFlow > 0 ? dwell : 0,
      };
    },
    dwellForVolume: volume => {
      requireNonNegative('volume', volume, 'm³');
      if (volume === 0) return 0;
      return steadyFlow > 0 ? volume / steadyFlow : null;
    },
    pressureAt: ({ dwell, time }) => (time >= 0 && time < dwell ? setPressure : 0),
  };
}

export interface AirVolumeInput {
  /** Inside volume of the empty barrel [m³]. */ barrel: number;
  /** Resin at the start [m³]. */ fill: number;
  /** Resin that has left before the shot [m³]. */ dispensed: number;
  /** Hose from valve to syringe, if any [m]. */ hose?: { insideDiameter: number; length: number };
}

/**
 * Air volume [m³] that fills and vents with each shot.
 *
 *   V = barrel − fill + dispensed + π/4·d²·L of the hose
 *
 * Throws: DomainError where the syringe would hold more than its barrel.
 */
export function airVolume({ barrel, fill, dispensed, hose }: AirVolumeInput): number {
  requirePositive('barrel', barrel, 'm³');
  requireNonNegative('fill', fill, 'm³');
  requireFinite('dispensed', dispensed, 'm³');
  const ullage = barrel - fill + dispensed;
  if (ullage < 0) throw new DomainError('fill', fill, 'm³', `at most the barrel (${barrel} m³)`);
  return ullage + (hose === undefined ? 0 : (Math.PI / 4) * hose.insideDiameter ** 2 * hose.length);
}
