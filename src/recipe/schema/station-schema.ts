import * as z from 'zod/mini';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import { isUnitOf } from '../../units/format-quantity.ts';
import { foundText } from '../yaml/plain-data.ts';
import { block, count, described, deviation, field, NOT_NEGATIVE, POSITIVE, quantity } from './fields.ts';
import type { Limits } from './leaf.ts';

const CRITICAL_RATIO: Limits = { from: 0, below: 1, says: 'from 0 to below 1' };
const PRESSURE_UNITS = ['kPa', 'bar', 'mbar', 'psi', 'inHg', 'mmHg', 'Pa', 'hPa', 'MPa', 'Torr', 'atm'];

const pressureUnit = (description: string) =>
  field<string>(description, { type: 'string', examples: PRESSURE_UNITS }, (input, complain) => {
    if (typeof input === 'string' && isUnitOf(input, 'pressure')) return input.trim();
    const near = typeof input === 'string' ? didYouMean(input, PRESSURE_UNITS) : null;
    complain(
      [],
      'unit-mismatch',
      `${foundText(input)} is not a unit of pressure`,
      near ?? 'write e.g. kPa, bar, psi or inHg',
    );
    return null;
  });

const exponent = {
  exponent: z.optional(
    quantity('factor', 'From 1, isothermal, to 1.4, adiabatic', {
      from: 1,
      to: 1.4,
      says: '1 to 1.4',
    }),
  ),
};
const conductance = (description: string) => quantity('conductance', description, POSITIVE);
const ratio = (description: string) => quantity('factor', description, CRITICAL_RATIO);
const model = <T extends string>(name: T) => described(z.literal(name), 'Name of the model.');

const air = described(
  z.discriminatedUnion('model', [
    block({ model: model('ideal'), ...exponent }, 'The set pressure for exactly the dwell.'),
    block(
      {
        model: model('first-order'),
        ...exponent,
        rise: quantity('time', 'Time constant of the rise', NOT_NEGATIVE),
        fall: quantity('time', 'Time constant of the fall', NOT_NEGATIVE),
        delay: quantity('time', 'Delay of both edges', NOT_NEGATIVE),
      },
      'Exponential lag.',
    ),
    block(
      {
        model: model('iso6358'),
        ...exponent,
        conductance: conductance('Sonic conductance while filling'),
        critical_ratio: ratio('Critical pressure ratio while filling'),
        exhaust_conductance: z.optional(conductance('Sonic conductance while venting')),
        exhaust_critical_ratio: z.optional(ratio('Critical pressure ratio while venting')),
        hose: z.optional(
          block(
            {
              inside_diameter: quantity('length', 'Inside diameter', POSITIVE),
              length: quantity('length', 'Length', POSITIVE),
            },
            'The hose between valve and syringe.',
          ),
        ),
        vent_to: z.optional(
          quantity('pressure', 'Gauge pressure to vent to; below zero: hold-back vacuum', {
            above: -101325,
            says: 'above a full vacuum',
          }),
        ),
      },
      'A valve by ISO 6358 that fills and vents the ullage.',
    ),
  ]),
  'What the air does between the regulator and the plunger.',
);

export const station = block(
  {
    pressure: z.optional(
      block(
        {
          min: quantity('pressure', 'Least pressure to set, gauge', NOT_NEGATIVE),
          max: quantity('pressure', 'Greatest pressure to set, gauge', POSITIVE),
          step: quantity('pressure', 'Resolution', POSITIVE),
          accuracy: z.optional(deviation('pressure', 'Half-width of the deviation from the set pressure')),
        },
        'Pressures that can be set.',
      ),
    ),
    dwell: z.optional(
      block(
        {
          min: quantity('time', 'Least dwell', POSITIVE),
          max: quantity('time', 'Greatest dwell', POSITIVE),
          step: quantity('time', 'Resolution', POSITIVE),
          jitter: z.optional(deviation('time', 'Half-width of the deviation from the set dwell')),
        },
        'Dwells that can be set.',
      ),
    ),
    rating: z.optional(quantity('pressure', 'Lowest rating in the air line, gauge', POSITIVE)),
    air: z.optional(air),
    hold_back: z.optional(
      block(
        { max: quantity('pressure', 'Greatest vacuum, as a number above zero', NOT_NEGATIVE) },
        'Hold-back vacuum.',
      ),
    ),
    syringe: z.optional(
      block(
        {
          barrel: z.optional(quantity('volume', 'Volume of the barrel', POSITIVE)),
          inside_diameter: z.optional(quantity('length', 'Inside diameter of the barrel', POSITIVE)),
          fill: quantity('volume', 'Resin in a fresh syringe', POSITIVE),
          left_over: z.optional(quantity('volume', 'Resin that stays in an empty one', NOT_NEGATIVE)),
          plunger_friction: z.optional(quantity('pressure', 'Pressure that the plunger takes', NOT_NEGATIVE)),
        },
        'The syringe.',
      ),
    ),
    ramp: z.optional(
      block(
        {
          add_step: z.optional(quantity('time', 'Resolution of the growth of the dwell', POSITIVE)),
          stages: z.optional(count('Number of step programs it can hold.')),
        },
        'What dwell ramp the station can hold.',
      ),
    ),
    atmosphere: z.optional(quantity('pressure', 'Atmospheric pressure, absolute', POSITIVE)),
    display: z.optional(
      block(
        {
          pressure: z.optional(pressureUnit('Unit of pressures for people.')),
          vacuum: z.optional(pressureUnit('Unit of vacuum for people.')),
        },
        'Units in which tables, cards and sheets speak.',
      ),
    ),
  },
  'The dispensing station.',
);
