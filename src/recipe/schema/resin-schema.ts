import { parseQuantity } from '../../units/parse-quantity.ts';
import { isPlainMap } from '../yaml/plain-data.ts';
import { block, either, list, models } from './blocks.ts';
import { optional, remade, withDefault } from './field.ts';
import { CONTACT_ANGLE, count, model, NOT_NEGATIVE, POSITIVE, points, quantity, range, text } from './fields.ts';
import type { Limits } from './leaf.ts';

const FLOW_INDEX: Limits = { above: 0, to: 2, says: 'above 0 and at most 2' };
const THINNING: Limits = { above: 0, to: 1, says: 'above 0 and at most 1' };

const viscosity = quantity('viscosity', 'Viscosity', POSITIVE);
const consistency = quantity('consistency', 'Consistency K; the exponent of its second is n', POSITIVE);
const flowIndex = quantity('factor', 'Flow index n; 1 is Newtonian, below 1 shear-thinning', FLOW_INDEX);
const yieldStress = quantity('stress', 'Yield stress', NOT_NEGATIVE);
const measured = optional(range('rate', 'Shear rates between which the curve was measured', POSITIVE));
const plateaus = {
  zero: quantity('viscosity', 'Viscosity at rest', POSITIVE),
  infinity: quantity('viscosity', 'Viscosity at high shear', NOT_NEGATIVE),
  time: quantity('time', 'Time constant', POSITIVE),
};

const rheology = models(
  [
    block({ model: model('newtonian'), viscosity, measured }, 'Viscosity that shear does not change'),
    block(
      { model: model('power-law'), K: consistency, n: flowIndex, measured },
      'Stress goes with a power of the shear rate',
    ),
    block(
      { model: model('herschel-bulkley'), yield_stress: yieldStress, K: consistency, n: flowIndex, measured },
      'Power law above a yield stress',
    ),
    block(
      { model: model('bingham'), yield_stress: yieldStress, viscosity, measured },
      'Newtonian above a yield stress',
    ),
    block(
      { model: model('casson'), yield_stress: yieldStress, viscosity, measured },
      'Casson: square roots of stresses add',
    ),
    block(
      { model: model('cross'), ...plateaus, m: quantity('factor', 'Exponent m', THINNING), measured },
      'Two plateaus with a power between (Cross)',
    ),
    block(
      {
        model: model('carreau-yasuda'),
        ...plateaus,
        a: quantity('factor', 'Width of the bend a', POSITIVE),
        n: quantity('factor', 'Flow index n', THINNING),
        measured,
      },
      'Two plateaus with a power between (Carreau–Yasuda)',
    ),
    block(
      {
        model: model('table'),
        points: points(
          'Flow curve as measured: [[shear rate, viscosity], …]',
          { kind: 'rate', limits: POSITIVE },
          { kind: 'viscosity', limits: POSITIVE },
        ),
      },
      'A flow curve as measured',
    ),
  ],
  'How the freshly mixed resin flows, at its reference temperature',
);

const energy = (is: string) => quantity('molar energy', is, NOT_NEGATIVE);
const reference = {
  reference_temperature: optional(quantity('temperature', 'Temperature the cure data belong to'), "the resin's"),
};

const cure = models(
  [
    block({ model: model('none'), ...reference }, 'No thickening'),
    block(
      {
        model: model('pot-life'),
        ...reference,
        time: quantity('time', 'Age at which the viscosity has grown by the factor', POSITIVE),
        factor: quantity('factor', 'Viscosity at that age over the mixed one; data sheets differ in it', {
          above: 1,
          says: 'above 1',
        }),
        activation_energy: optional(energy('Activation energy of the rate'), 'the rate ignores temperature'),
      },
      'Exponential thickening from the pot life of a data sheet',
    ),
    block(
      {
        model: model('roller'),
        ...reference,
        rate: quantity('rate', 'Rate at infinite temperature', POSITIVE),
        activation_energy: energy('Activation energy of the rate'),
      },
      'Dual Arrhenius thickening',
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
      'Thickening with conversion up to the gel point',
    ),
    block(
      {
        model: model('table'),
        ...reference,
        points: points(
          'Thickening as measured: [[age, factor], …]',
          { kind: 'time', limits: NOT_NEGATIVE },
          { kind: 'factor', limits: POSITIVE },
        ),
      },
      'Thickening as measured',
    ),
  ],
  'How the mixed resin thickens with age',
);

const weighedDot = block(
  {
    mass: quantity('mass', 'Mass of all shots together', POSITIVE),
    shots: withDefault(count('Number of shots on this dot'), 1),
    diameter: quantity('length', 'Diameter of the dot as seen from above', POSITIVE),
    age: optional(
      quantity('time', 'Age of the resin when it was shot; with it the dot counts as still spreading', NOT_NEGATIVE),
      'read at rest',
    ),
    read_after: optional(quantity('time', 'When it was read', NOT_NEGATIVE), 'that of the dot'),
    temperature: optional(quantity('temperature', 'Temperature of the resin then'), 'that of the process'),
  },
  'One weighed dot',
);

const dot = block(
  {
    contact_angle: optional(quantity('angle', 'Contact angle on the surface', CONTACT_ANGLE)),
    calibration: optional(list(weighedDot, 'Weighed dots, to which the angle is fitted')),
    read_after: optional(
      quantity('time', 'When the dot is read, while it still spreads', NOT_NEGATIVE),
      'read at rest',
    ),
    spread_log: optional(
      quantity('factor', 'Logarithm of drop size over slip length, which slows the spreading', POSITIVE),
      '10 ± 5',
    ),
    surface: optional(text('What the dot stands on, for the sheet')),
    reading_error: withDefault(quantity('length', 'How far off a reading of the diameter may be', POSITIVE), '0.1 mm'),
  },
  'The free shot on a flat surface',
);

/** A mass, or a volume that says so. */
const amount = (is: string) =>
  either(
    quantity('mass', is, POSITIVE),
    remade(quantity('volume', is, POSITIVE), made => ({ ...made, volume: true as const })),
    {
      isFirst: input => !parseQuantity(String(isPlainMap(input) ? input['value'] : input), 'volume').ok,
      is: `${is}: a mass, or a volume`,
    },
  );

const mix = block(
  {
    base: amount('Parts of base'),
    hardener: amount('Parts of hardener'),
    base_density: optional(quantity('density', 'Density of the base', POSITIVE), 'needed where `base` is a volume'),
    hardener_density: optional(
      quantity('density', 'Density of the hardener', POSITIVE),
      'needed where `hardener` is a volume',
    ),
    tolerance: quantity('percentage', 'How far the ratio of the two may be off', {
      above: 0,
      below: 1,
      says: 'between 0 % and 100 %',
    }),
  },
  'How base and hardener are mixed',
);

const glass = block(
  {
    uncured: quantity('temperature', 'Glass transition of the uncured mix'),
    cured: quantity('temperature', 'Glass transition of the fully cured resin'),
    lambda: quantity('factor', 'Curvature between the two', THINNING),
    required: optional(quantity('temperature', 'Glass transition that the cured connector needs')),
    beyond: withDefault(
      quantity('temperature difference', 'How far above its temperature the glass stops the cure', NOT_NEGATIVE),
      '10 K',
    ),
  },
  'The glass transition with conversion',
);

const rebuild = block(
  {
    factor: quantity('factor', 'Viscosity after a long pause over that while it is worked', {
      from: 1,
      says: '1 or above',
    }),
    time: quantity('time', 'Pause after which 63 % of it is back', POSITIVE),
  },
  'How a thixotropic resin thickens at rest',
);

export const resin = block(
  {
    name: optional(text('A name for people')),
    density: optional(quantity('density', 'Density of the mixed resin', POSITIVE)),
    surface_tension: optional(quantity('surface tension', 'Surface tension against air', POSITIVE)),
    rheology: optional(rheology),
    reference_temperature: withDefault(quantity('temperature', 'Temperature the flow data belong to'), '25 degC'),
    activation_energy: optional(energy('Activation energy of viscosity'), 'viscosity ignores temperature'),
    yield_activation_energy: optional(energy('Activation energy of the yield stress'), 'that of viscosity'),
    lot_factor: withDefault(quantity('factor', "Viscosity of the lot over the recipe's", POSITIVE), 1),
    cure: withDefault(cure, { model: 'none' }),
    rebuild: optional(rebuild, 'no thicker after a pause'),
    largest_particle: optional(quantity('length', 'Largest grain of the filler', POSITIVE)),
    dot: optional(dot),
    glass: optional(glass),
    shrinkage: optional(
      quantity('percentage', 'Shrinkage by volume from mixed to fully cured', {
        from: 0,
        below: 1,
        says: 'from 0 % to below 100 %',
      }),
    ),
    mix: optional(mix),
    heat_of_reaction: optional(
      quantity('specific energy', 'Heat set free by the whole cure', POSITIVE),
      'the mix is not said to warm itself',
    ),
    heat_capacity: optional(quantity('heat capacity', 'Heat capacity of the mixed resin', POSITIVE)),
    conductivity: optional(
      quantity('heat conductivity', 'Heat conductivity of the mixed resin', POSITIVE),
      '0.2 W/(m.K)',
    ),
  },
  'The mixed resin',
);
