import * as z from 'zod';
import { connector } from './connector-schema.ts';
import { block, chosen, count, hasKey, NOT_NEGATIVE, POSITIVE, points, quantity, range, text, word } from './fields.ts';
import { jsonOf } from './json-of.ts';
import type { Leaf } from './leaf.ts';
import { needle } from './needle-schema.ts';
import { resin } from './resin-schema.ts';
import { station } from './station-schema.ts';

const STAGE = {
  add: quantity('time', 'What the dwell grows by at each step', NOT_NEGATIVE),
  every: count('Number of timed shots between two steps.'),
};

const stage = block(
  {
    ...STAGE,
    from_shot: count('Number of the shot at which this stage starts, from 1.').optional(),
    first: quantity('time', 'Dwell of the first shot of the stage', POSITIVE).optional(),
  },
  'One step program: so much dwell more at every so many shots.',
);

const stages = z.array(stage).min(1);

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
    pressure: quantity('pressure', 'Released pressure, gauge', POSITIVE).optional(),
    dwell: quantity('time', 'Released dwell', POSITIVE).optional(),
    ramp: ramp.optional(),
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
    temperature: temperature.optional(),
    takt: quantity('time', 'Time from one connector to the next', POSITIVE).optional(),
    ready_after: quantity('time', 'Age of the resin at the first production shot', NOT_NEGATIVE).optional(),
    tolerance: quantity('percentage', 'Tolerance on the shot volume', POSITIVE).optional(),
    stop_at: block(
      {
        viscosity_factor: quantity('factor', 'Viscosity over the freshly mixed one at which to stop', {
          from: 1,
          says: '1 or above',
        }).optional(),
        age: quantity('time', 'Age at which to stop', POSITIVE).optional(),
      },
      'When the syringe is to be laid aside.',
    ).optional(),
    bore_shot: word(['by_sight', 'timed'], 'How the bore shot is ended.').optional(),
    prime: count('Shots into waste with a new needle.', 0).optional(),
    practical_dwell: range('time', 'Dwells that are neither hasty nor tiresome', POSITIVE).optional(),
  },
  'How the work runs.',
);

const calibration = block(
  {
    viscosity_factor: quantity('factor', 'True viscosity over that of the recipe', POSITIVE).optional(),
    pressure_offset: quantity('pressure', 'Part of the set pressure that does not arrive').optional(),
    dead_time: quantity('time', 'Part of the dwell in which nothing flows').optional(),
    date: text('When it was fitted.').optional(),
    data: text('File it was fitted to.').optional(),
    digest: text('Digest of what it was fitted to.').optional(),
  },
  'What trial shots taught.',
);

const silence = z
  .array(
    block({ code: text('Code of the rule.'), reason: text('Why it does not matter here.').optional() }, 'One rule.'),
  )
  .describe('Findings of the engineering rules that are not to be shown.');

const correlations = z
  .array(
    block(
      {
        between: z
          .tuple([text('Path of a quantity.'), text('Path of another quantity.')])
          .describe('Paths of two quantities with a tolerance.'),
        r: z.number().min(-1).max(1).describe('Correlation coefficient.'),
      },
      'Two deviations that go together.',
    ),
  )
  .describe('Deviations that are not independent.');

/** Recipe format 1, as written; quantities come out in SI. */
export const recipeSchema = block(
  {
    recipe: z.literal(1).describe('Version of the format.'),
    connector: connector.optional(),
    needle: needle.optional(),
    resin: resin.optional(),
    station: station.optional(),
    process: process.optional(),
    settings: settings.optional(),
    calibration: calibration.optional(),
    silence: silence.optional(),
    correlations: correlations.optional(),
  },
  'Everything that fixes one dispense of epoxy into a connector.',
);

export type RecipeData = z.output<typeof recipeSchema>;
