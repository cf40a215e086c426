import { didYouMean } from '../../diagnostics/suggestion.ts';
import { isUnitOf, unitFactor } from '../../units/format-quantity.ts';
import { foundText } from '../yaml/plain-data.ts';
import { block, models } from './blocks.ts';
import { type Field, optional, plain, reading, remade, withDefault } from './field.ts';
import { count, deviation, model, NOT_NEGATIVE, POSITIVE, quantity, text, word } from './fields.ts';
import type { Limits } from './leaf.ts';

const CRITICAL_RATIO: Limits = { from: 0, below: 1, says: 'from 0 to below 1' };
const PRESSURE_UNITS = ['kPa', 'bar', 'mbar', 'psi', 'inHg', 'mmHg', 'Pa', 'hPa', 'MPa', 'Torr', 'atm'];

function pressureUnit(is: string): Field<string, string> {
  const schema = reading<string>(`${is}.`, { type: 'string', examples: PRESSURE_UNITS }, (input, complain) => {
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
  return plain(schema, { is });
}

const exponent = {
  exponent: withDefault(
    quantity('factor', 'From 1, isothermal, to 1.4, adiabatic', { from: 1, to: 1.4, says: '1 to 1.4' }),
    1,
  ),
};
const conductance = (is: string) => quantity('conductance', is, POSITIVE);
const ratio = (is: string) => quantity('factor', is, CRITICAL_RATIO);

const iso6358 = block(
  {
    model: model('iso6358'),
    ...exponent,
    conductance: conductance('Sonic conductance while filling'),
    critical_ratio: ratio('Critical pressure ratio while filling'),
    exhaust_conductance: optional(conductance('Sonic conductance while venting'), '`conductance`'),
    exhaust_critical_ratio: optional(ratio('Critical pressure ratio while venting'), '`critical_ratio`'),
    hose: optional(
      block(
        {
          inside_diameter: quantity('length', 'Inside diameter', POSITIVE),
          length: quantity('length', 'Length', POSITIVE),
        },
        'The hose between valve and syringe',
      ),
    ),
    vent_to: withDefault(
      quantity('pressure', 'Gauge pressure to vent to; below zero: hold-back vacuum', {
        above: -101325,
        says: 'above a full vacuum',
      }),
      '0 kPa',
    ),
  },
  'A valve by ISO 6358 that fills and vents the ullage',
);

const air = models(
  [
    block({ model: model('ideal'), ...exponent }, 'The set pressure for exactly the dwell'),
    block(
      {
        model: model('first-order'),
        ...exponent,
        rise: quantity('time', 'Time constant of the rise', NOT_NEGATIVE),
        fall: quantity('time', 'Time constant of the fall', NOT_NEGATIVE),
        delay: quantity('time', 'Delay of both edges', NOT_NEGATIVE),
      },
      'Exponential lag',
    ),
    // Without values of its own the exhaust is the same part, and moves with it.
    remade(iso6358, valve => ({
      ...valve,
      exhaust_conductance: valve.exhaust_conductance ?? valve.conductance,
      exhaust_critical_ratio: valve.exhaust_critical_ratio ?? valve.critical_ratio,
    })),
  ],
  'What the air does between the regulator and the plunger',
);

/** Growth of the dwell of a station that says nothing of its steps [s]. */
const ADD_STEP = 0.01;

export const station = remade(
  block(
    {
      name: optional(text('A name for people')),
      pressure: optional(
        block(
          {
            min: quantity('pressure', 'Least pressure to set, gauge like all pressures here', NOT_NEGATIVE),
            max: quantity('pressure', 'Greatest pressure to set', POSITIVE),
            step: quantity('pressure', 'Resolution', POSITIVE),
            accuracy: optional(deviation('pressure', 'Half-width of the deviation from the set pressure'), 'none'),
          },
          'Pressures that can be set',
        ),
      ),
      dwell: optional(
        block(
          {
            min: quantity('time', 'Least dwell', POSITIVE),
            max: quantity('time', 'Greatest dwell', POSITIVE),
            step: quantity('time', 'Resolution', POSITIVE),
            jitter: optional(deviation('time', 'Half-width of the deviation from the set dwell'), 'none'),
          },
          'Dwells that can be set',
        ),
      ),
      scale: optional(quantity('mass', 'Half-width of one net weighing on the scale where resin is mixed', POSITIVE)),
      rating: optional(quantity('pressure', 'Lowest rating in the air line, gauge', POSITIVE)),
      air: withDefault(air, { model: 'ideal' }),
      hold_back: optional(
        block(
          { max: quantity('pressure', 'Greatest vacuum against dripping, as a number above zero', NOT_NEGATIVE) },
          'Hold-back vacuum',
        ),
      ),
      syringe: optional(
        block(
          {
            barrel: optional(quantity('volume', 'Volume of the barrel, for the air space', POSITIVE)),
            inside_diameter: optional(
              quantity('length', 'Inside diameter of the barrel, for the height of the resin', POSITIVE),
            ),
            fill: quantity('volume', 'Resin in a fresh syringe', POSITIVE),
            left_over: withDefault(quantity('volume', 'Resin that stays in an empty one', NOT_NEGATIVE), '0 mL'),
            plunger_friction: withDefault(
              quantity('pressure', 'Pressure that the plunger takes', NOT_NEGATIVE),
              '0 kPa',
            ),
          },
          'The syringe',
        ),
      ),
      ramp: withDefault(
        block(
          {
            add_step: optional(
              quantity('time', 'Resolution of the growth of the dwell', POSITIVE),
              '`dwell.step`, else 0.01 s',
            ),
            stages: withDefault(count('Number of step programs it can hold'), 1),
          },
          'What dwell ramp the station can hold',
        ),
        {},
      ),
      atmosphere: withDefault(quantity('pressure', 'Atmospheric pressure, absolute', POSITIVE), '101.325 kPa'),
      display: withDefault(
        block(
          {
            pressure: optional(pressureUnit('Unit of pressures for people; JSON keeps kPa'), 'kPa'),
            vacuum: optional(pressureUnit('Unit of vacuum for people; JSON keeps kPa'), 'kPa'),
            length: optional(
              word(['mm', 'in'], 'Unit of diameters on gauge and card; with `in` they stand in both'),
              'mm',
            ),
          },
          'Units in which tables, cards and sheets speak',
        ),
        {},
      ),
    },
    'The dispensing station',
  ),
  made => ({
    ...made,
    ramp: {
      ...made.ramp,
      add_step: made.ramp.add_step ?? {
        value: made.dwell?.step.value ?? ADD_STEP,
        path: 'station.ramp.add_step',
        source: 'default',
      },
    },
  }),
);

/** The unit in which the people of a station speak of pressures, kPa where it names none: its name and its size [Pa]. */
export function displayPressure(made: { readonly display: { readonly pressure?: string } } | undefined) {
  const name = made?.display.pressure ?? 'kPa';
  return { name, size: unitFactor(name, 'pressure') };
}
