import * as z from 'zod/mini';
import { connector } from './connector-schema.ts';
import {
  block,
  chosen,
  count,
  described,
  hasKey,
  NOT_NEGATIVE,
  POSITIVE,
  points,
  quantity,
  range,
  text,
  word,
} from './fields.ts';
import { jsonOf } from './json-of.ts';
import type { Leaf } from './leaf.ts';
import { needle } from './needle-schema.ts';
import { resin } from './resin-schema.ts';
import { station } from './station-schema.ts';

const STAGE = {
  add: quantity('time', 'What the dwell grows by at each step', NOT_NEGATIVE),
  every: count('Number of shots by dwell between two steps.'),
};

const stage = block(
  {
    ...STAGE,
    from_shot: z.optional(count('Number of the shot at which this stage starts, from 1.')),
    first: z.optional(quantity('time', 'Dwell of the first shot of the stage', POSITIVE)),
  },
  'One step program: so much dwell more at every so many shots.',
);

const stages = z.array(stage).check(z.minLength(1));

export interface RampField {
  /** Written as one mapping, not as a list. */
  readonly single: boolean;
  readonly stages: z.output<typeof stages>;
}

const ramp = chosen<RampField>(
  'How the dwell grows: one step program, or several.',
  () => ({ anyOf: [jsonOf(stage), jsonOf(stages)] }),
  input =>
    Array.isArray(input)
      ? { schema: stages, made: value => ({ single: false, stages: value as z.output<typeof stages> }) }
      : { schema: stage, made: value => ({ single: true, stages: [value as z.output<typeof stage>] }) },
);

const settings = block(
  {
    pressure: z.optional(quantity('pressure', 'Released pressure, gauge', POSITIVE)),
    dwell: z.optional(quantity('time', 'Released dwell', POSITIVE)),
    ramp: z.optional(ramp),
  },
  'What is released for production.',
);

const profile = block(
  {
    profile: points(
      'Temperatures over the age: [[age, temperature], …].',
      { kind: 'time', limits: NOT_NEGATIVE },
      { kind: 'temperature' },
      1,
    ),
  },
  'The course of the temperature.',
);
const oneTemperature = quantity('temperature', 'Temperature of the resin');

export type TemperatureField = Leaf | z.output<typeof profile>;

const temperature = chosen<TemperatureField>(
  'Temperature of the resin: one, or {profile: [[age, temperature], …]}.',
  () => ({ anyOf: [jsonOf(oneTemperature), jsonOf(profile)] }),
  input => ({
    schema: hasKey(input, 'profile') ? profile : oneTemperature,
    made: value => value as TemperatureField,
  }),
);

const process = block(
  {
    temperature: z.optional(temperature),
    takt: z.optional(quantity('time', 'Time from one connector to the next', POSITIVE)),
    ready_after: z.optional(quantity('time', 'Age of the resin at the first production shot', NOT_NEGATIVE)),
    tolerance: z.optional(quantity('percentage', 'Tolerance on the shot volume', POSITIVE)),
    stop_at: z.optional(
      block(
        {
          viscosity_factor: z.optional(
            quantity('factor', 'Viscosity over the freshly mixed one at which to stop', {
              from: 1,
              says: '1 or above',
            }),
          ),
          age: z.optional(quantity('time', 'Age at which to stop', POSITIVE)),
        },
        'When the syringe is to be laid aside.',
      ),
    ),
    bore_shot: z.optional(word(['by_sight', 'by_dwell'], 'How the bore shot is ended.')),
    prime: z.optional(count('Shots into waste with a new needle.', 0)),
    practical_dwell: z.optional(range('time', 'Dwells that are neither hasty nor tiresome', POSITIVE)),
  },
  'How the work runs.',
);

const calibration = block(
  {
    viscosity_factor: z.optional(quantity('factor', 'True viscosity over that of the recipe', POSITIVE)),
    pressure_offset: z.optional(quantity('pressure', 'Part of the set pressure that does not arrive')),
    dead_time: z.optional(quantity('time', 'Part of the dwell in which nothing flows')),
    date: z.optional(text('When it was fitted.')),
    data: z.optional(text('File it was fitted to.')),
    digest: z.optional(text('Digest of what it was fitted to.')),
  },
  'What trial shots taught.',
);

const silence = described(
  z.array(
    block({ code: text('Code of the rule.'), reason: z.optional(text('Why it does not matter here.')) }, 'One rule.'),
  ),
  'Findings of the engineering rules that are not to be shown.',
);

const correlations = described(
  z.array(
    block(
      {
        between: described(
          z.tuple([text('Path of a quantity.'), text('Path of another quantity.')]),
          'Paths of two quantities with a tolerance.',
        ),
        r: described(z.number().check(z.minimum(-1), z.maximum(1)), 'Correlation coefficient.'),
      },
      'Two deviations that go together.',
    ),
  ),
  'Deviations that are not independent.',
);

/** Recipe format 1, as written; quantities come out in SI. */
export const recipeSchema = block(
  {
    recipe: described(z.literal(1), 'Version of the format.'),
    connector: z.optional(connector),
    needle: z.optional(needle),
    resin: z.optional(resin),
    station: z.optional(station),
    process: z.optional(process),
    settings: z.optional(settings),
    calibration: z.optional(calibration),
    silence: z.optional(silence),
    correlations: z.optional(correlations),
  },
  'Everything that fixes one dispense of epoxy into a connector.',
);

export type RecipeData = z.output<typeof recipeSchema>;
