import * as z from 'zod';
import { block, CONTACT_ANGLE, count, NOT_NEGATIVE, POSITIVE, points, quantity, text } from './fields.ts';
import type { Limits } from './leaf.ts';

const FLOW_INDEX: Limits = { above: 0, to: 2, says: 'above 0 and at most 2' };
const THINNING: Limits = { above: 0, to: 1, says: 'above 0 and at most 1' };

const viscosity = () => quantity('viscosity', 'Viscosity', POSITIVE);
const consistency = () => quantity('consistency', 'Consistency K; the exponent of its second is n', POSITIVE);
const flowIndex = () => quantity('factor', 'Flow index n; 1 is Newtonian, below 1 shear-thinning', FLOW_INDEX);
const yieldStress = () => quantity('stress', 'Yield stress', NOT_NEGATIVE);
const model = <T extends string>(name: T) => z.literal(name).describe('Name of the model.');
const plateaus = {
  zero: quantity('viscosity', 'Viscosity at rest', POSITIVE),
  infinity: quantity('viscosity', 'Viscosity at high shear', NOT_NEGATIVE),
  time: quantity('time', 'Time constant', POSITIVE),
};

const rheology = z
  .discriminatedUnion('model', [
    block({ model: model('newtonian'), viscosity: viscosity() }, 'Viscosity that shear does not change.'),
    block(
      { model: model('power-law'), K: consistency(), n: flowIndex() },
      'Stress goes with a power of the shear rate.',
    ),
    block(
      { model: model('herschel-bulkley'), yield_stress: yieldStress(), K: consistency(), n: flowIndex() },
      'Power law above a yield stress.',
    ),
    block(
      { model: model('bingham'), yield_stress: yieldStress(), viscosity: viscosity() },
      'Newtonian above a yield stress.',
    ),
    block(
      { model: model('casson'), yield_stress: yieldStress(), viscosity: viscosity() },
      'Casson: square roots of stresses add.',
    ),
    block(
      { model: model('cross'), ...plateaus, m: quantity('factor', 'Exponent m', THINNING) },
      'Two plateaus with a power between (Cross).',
    ),
    block(
      {
        model: model('carreau-yasuda'),
        ...plateaus,
        a: quantity('factor', 'Width of the bend a', POSITIVE),
        n: quantity('factor', 'Flow index n', THINNING),
      },
      'Two plateaus with a power between (Carreau–Yasuda).',
    ),
    block(
      {
        model: model('table'),
        points: points(
          'Flow curve as measured: [[shear rate, viscosity], …].',
          { kind: 'rate', limits: POSITIVE },
          { kind: 'viscosity', limits: POSITIVE },
        ),
      },
      'A flow curve as measured.',
    ),
  ])
  .describe('How the freshly mixed resin flows, at its reference temperature.');

const energy = (description: string) => quantity('molar energy', description, NOT_NEGATIVE);
const reference = {
  reference_temperature: quantity('temperature', "Temperature the cure data belong to; the resin's without").optional(),
};

const cure = z
  .discriminatedUnion('model', [
    block({ model: model('none'), ...reference }, 'No thickening.'),
    block(
      {
        model: model('pot-life'),
        ...reference,
        time: quantity('time', 'Age at which the viscosity has grown by the factor', POSITIVE),
        factor: quantity('factor', 'Viscosity at that age over the mixed one', { above: 1, says: 'above 1' }),
        activation_energy: energy('Activation energy of the rate').optional(),
      },
      'Exponential thickening from the pot life of a data sheet.',
    ),
    block(
      {
        model: model('roller'),
        ...reference,
        rate: quantity('rate', 'Rate at infinite temperature', POSITIVE),
        activation_energy: energy('Activation energy of the rate'),
      },
      'Dual Arrhenius thickening.',
    ),
    block(
      {
        model: model('castro-macosko'),
        ...reference,
        A1: quantity('rate', 'First rate constant', NOT_NEGATIVE),
        E1: energy('Its activation energy'),
        A2: quantity('rate', 'Second rate constant', NOT_NEGATIVE),
        E2: energy('Its activation energy'),
        m: quantity('factor', 'Autocatalytic exponent', NOT_NEGATIVE),
        n: quantity('factor', 'Exponent of what is left', NOT_NEGATIVE),
        gel_conversion: quantity('factor', 'Conversion at the gel point', {
          above: 0,
          below: 1,
          says: 'between 0 and 1',
        }),
        c1: quantity('factor', 'Exponent at no conversion', NOT_NEGATIVE),
        c2: quantity('factor', 'Growth of the exponent with conversion'),
      },
      'Thickening with conversion up to the gel point.',
    ),
    block(
      {
        model: model('table'),
        ...reference,
        points: points(
          'Thickening as measured: [[age, factor], …].',
          { kind: 'time', limits: NOT_NEGATIVE },
          { kind: 'factor', limits: POSITIVE },
        ),
      },
      'Thickening as measured.',
    ),
  ])
  .describe('How the mixed resin thickens with age.');

const calibrationDot = block(
  {
    mass: quantity('mass', 'Mass of all shots together', POSITIVE),
    shots: count('Number of shots on this dot.').optional(),
    diameter: quantity('length', 'Diameter of the dot as seen from above', POSITIVE),
  },
  'One weighed dot.',
);

const dot = block(
  {
    contact_angle: quantity('angle', 'Contact angle on the surface', CONTACT_ANGLE).optional(),
    calibration: z.array(calibrationDot).min(1).describe('Weighed dots, to which the angle is fitted.').optional(),
    read_after: quantity('time', 'When the dot is read', NOT_NEGATIVE).optional(),
    surface: text('What the dot stands on.').optional(),
    reading_error: quantity('length', 'How far off a reading of the diameter may be', POSITIVE).optional(),
  },
  'The free shot on a flat surface.',
);

export const resin = block(
  {
    density: quantity('density', 'Density', POSITIVE).optional(),
    surface_tension: quantity('surface tension', 'Surface tension', POSITIVE).optional(),
    rheology: rheology.optional(),
    reference_temperature: quantity('temperature', 'Temperature the flow data belong to').optional(),
    activation_energy: energy('Activation energy of viscosity').optional(),
    lot_factor: quantity('factor', 'Viscosity of the lot over the nominal one', POSITIVE).optional(),
    cure: cure.optional(),
    dot: dot.optional(),
  },
  'The mixed resin.',
);
