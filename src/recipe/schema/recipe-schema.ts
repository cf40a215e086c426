import * as z from 'zod/mini';
import { block, either, hasKey, list } from './blocks.ts';
import { connector } from './connector-schema.ts';
import { optional, plain, type ReadOf, remade, withDefault, withMeta } from './field.ts';
import {
  ANY_SIGN,
  count,
  NOT_NEGATIVE,
  POSITIVE,
  points,
  quantity,
  range,
  temperaturesByClock,
  text,
  word,
} from './fields.ts';
import { needle } from './needle-schema.ts';
import { resin } from './resin-schema.ts';
import { station } from './station-schema.ts';

const stage = block(
  {
    from_shot: withDefault(count('Number of the shot at which this stage starts'), 1),
    first: optional(quantity('time', 'Dwell of the first shot of the stage', POSITIVE), '`settings.dwell`'),
    add: quantity('time', 'What the dwell grows by at each step', NOT_NEGATIVE),
    every: count('Number of shots by dwell between two steps'),
  },
  'One step program: so much dwell more at every so many shots',
);

export const settings = block(
  {
    pressure: optional(quantity('pressure', 'Released pressure, gauge', POSITIVE), 'the setpoint'),
    dwell: optional(quantity('time', 'Released dwell', POSITIVE), 'the setpoint'),
    ramp: optional(
      either(
        remade(stage, one => [one]),
        list(stage, 'Step programs, in the order of their shots'),
        {
          isFirst: input => !Array.isArray(input),
          is: 'How the dwell grows: one step program, or several',
        },
      ),
      'no ramp',
    ),
  },
  'What is released for production; `setpoint --write` fills it in',
);

const profile = block(
  {
    profile: points(
      'Temperatures over the age from mixing on: [[age, temperature], …]',
      { kind: 'time', limits: NOT_NEGATIVE },
      { kind: 'temperature' },
      1,
    ),
  },
  'The course of the temperature',
);

export const process = block(
  {
    temperature: optional(
      either(quantity('temperature', 'Temperature of the resin'), profile, {
        isFirst: input => !hasKey(input, 'profile'),
        is: 'Temperature of the resin: one, or {profile: [[age, temperature], …]}',
      }),
    ),
    room: optional(
      temperaturesByClock('Temperatures by the clock, straight between them and round the day: [[06:00, 18 degC], …]'),
      'for `batch` and `ramp --mixed`: that of `temperature`',
    ),
    takt: optional(quantity('time', 'Time from one connector to the next', POSITIVE)),
    handling: optional(quantity('time', 'Time that one connector takes without air on', NOT_NEGATIVE), '0 s'),
    reaction: optional(
      quantity('time', 'From the sight of the wanted bead to the end of the air', NOT_NEGATIVE),
      '0.25 s',
    ),
    mixing: optional(
      quantity(
        'time',
        'How long mixing a kit and filling it keeps somebody busy, from the beginning of its age on',
        NOT_NEGATIVE,
      ),
      '5 min, or `ready_after` where that is less',
    ),
    ready_after: withDefault(quantity('time', 'Age of the resin at the first production shot', NOT_NEGATIVE), '0 min'),
    tolerance: optional(
      quantity('percentage', 'Tolerance on the volume of the shot, inside the reach window', POSITIVE),
    ),
    stop_at: optional(
      block(
        {
          viscosity_factor: optional(
            quantity('factor', 'Viscosity over the freshly mixed one at which to stop', {
              from: 1,
              says: '1 or above',
            }),
          ),
          age: optional(quantity('time', 'Age at which to stop', POSITIVE)),
        },
        'When the syringe is to be laid aside',
      ),
    ),
    bore_shot: withDefault(
      word(['by_sight', 'by_dwell'], 'How the bore shot is ended; those by dwell count in the ramp'),
      'by_sight',
    ),
    prime: withDefault(count('Shots to waste with a new needle, never fewer than fill it', 0), 3),
    oven: optional(
      points(
        'Temperatures over the time in the oven: [[time, temperature], …], straight between them',
        { kind: 'time', limits: NOT_NEGATIVE },
        { kind: 'temperature' },
      ),
    ),
    cup: optional(
      block(
        {
          diameter: quantity('length', 'Inside diameter', POSITIVE),
          wall: quantity('heat transfer', 'Heat that leaves through wall, bottom and top', NOT_NEGATIVE),
          rise: withDefault(
            quantity('temperature difference', 'Most that the mix may warm until `ready_after`', POSITIVE),
            '10 K',
          ),
        },
        'The cup in which a kit is mixed',
      ),
    ),
    drift: optional(
      quantity(
        'percentage',
        'How far the thickness of a syringe wanders in an hour, one standard deviation',
        NOT_NEGATIVE,
      ),
      '1 %',
    ),
    practical_dwell: withDefault(range('time', 'Dwells that are neither hasty nor tiresome', POSITIVE), [
      '0.2 s',
      '4 s',
    ]),
  },
  'How the work runs',
);

export const calibration = block(
  {
    viscosity_factor: withDefault(quantity('factor', 'True viscosity over that of the recipe', POSITIVE), 1),
    pressure_offset: withDefault(
      quantity('pressure', 'Part of the set pressure that does not arrive', ANY_SIGN),
      '0 kPa',
    ),
    dead_time: withDefault(quantity('time', 'Part of the dwell in which nothing flows', ANY_SIGN), '0 s'),
    date: optional(text('When it was fitted')),
    data: optional(text('File it was fitted to')),
    digest: optional(text('SHA-256 of what it was fitted to')),
  },
  'What trial shots taught; `fit --write` fills it in',
);

const silence = remade(
  list(
    block(
      {
        code: text('Code of a finding that is right for this recipe all the same'),
        reason: optional(text('Why it does not matter here; without a reason nothing is silenced')),
      },
      'One rule',
    ),
    'Findings of the engineering rules that are not to be shown',
    0,
  ),
  (all, path) => all.map((one, i) => ({ ...one, path: `${path}[${i}]` })),
);

const BETWEEN = 'Paths of two quantities that deviate together';
const pathOfOne = text('Path of a quantity').schema;
const pathOfOther = text('Path of another quantity').schema;
const COEFFICIENT = 'Correlation coefficient';

const correlations = remade(
  list(
    block(
      {
        between: plain(withMeta(z.tuple([pathOfOne, pathOfOther]), { description: `${BETWEEN}.` }), { is: BETWEEN }),
        r: plain(withMeta(z.number().check(z.minimum(-1), z.maximum(1)), { description: `${COEFFICIENT}.` }), {
          is: COEFFICIENT,
          range: '-1 to 1',
        }),
      },
      'Two deviations that go together',
    ),
    'Deviations that are not independent',
    0,
  ),
  (all, path) => all.map(({ between: [a, b], r }, i) => ({ between: [a, b] as const, r, path: `${path}[${i}]` })),
);

/** The keys at the top of a recipe. */
export const RECIPE_FIELDS = {
  recipe: plain(withMeta(z.literal(1), { description: 'Version of the format.' }), { is: 'Version of the format' }),
  name: optional(text('A name for people')),
  notes: optional(text('Free text')),
  connector: optional(connector),
  needle: optional(needle),
  resin: optional(resin),
  station: optional(station),
  process: optional(process),
  settings: optional(settings),
  calibration: optional(calibration),
  silence: withDefault(silence, []),
  correlations: withDefault(correlations, []),
};

/** Recipe format 1, as written; quantities come out in SI. */
export const recipe = block(RECIPE_FIELDS, 'Everything that fixes one dispense of epoxy into a connector');

export type BlockKey = keyof typeof RECIPE_FIELDS;
export type RecipeData = ReadOf<typeof recipe>;
