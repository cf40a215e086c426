import { foundText } from '../yaml/plain-data.ts';
import { block } from './blocks.ts';
import { sections } from './connector-schema.ts';
import { optional, plain, reading, withDefault } from './field.ts';
import { CONTACT_ANGLE, NOT_NEGATIVE, POSITIVE, quantity, word } from './fields.ts';

/** Gauge numbers are numbers with, at times, a letter: 22, 22s. */
const GAUGE = 'Gauge number, looked up in the needle table: 22, "22s"';
const gauge = plain(
  reading<string>(
    `${GAUGE}.`,
    {
      anyOf: [
        { type: 'integer', minimum: 1, maximum: 40 },
        { type: 'string', pattern: '^[1-9][0-9]?[a-z]?$' },
      ],
    },
    (input, complain) => {
      const text = typeof input === 'number' || typeof input === 'string' ? String(input).trim() : '';
      if (/^[1-9]\d?[a-z]?$/.test(text)) return text;
      complain([], 'value-type', `found ${foundText(input)}, expected a gauge number`, 'write it like 22 or "22s"');
      return null;
    },
  ),
  { is: GAUGE },
);

export const needle = block(
  {
    gauge: optional(gauge),
    wall: withDefault(word(['regular', 'thin', 'extra-thin'], 'Wall class'), 'regular'),
    length: optional(quantity('length', 'Length of the cannula', POSITIVE)),
    exposed: optional(quantity('length', 'What of it stands free of its hub', POSITIVE), '`length`'),
    bore: optional(quantity('length', 'Inside diameter; give it when it was measured', POSITIVE), "the gauge's"),
    outside: optional(quantity('length', 'Outside diameter', POSITIVE), "the gauge's"),
    sections: optional(
      sections('A needle of several pieces, from the barrel to the tip; in place of `bore` and `length`'),
    ),
    ends: withDefault(word(['entrance', 'both', 'none'], 'Which openings add to the resistance'), 'entrance'),
    entrance_lengths: optional(
      quantity('factor', 'Radii that each entrance adds to the length', NOT_NEGATIVE),
      '3π/16 radii, as `ends` says',
    ),
    contact_angle: optional(
      quantity('angle', 'Contact angle in the needle, for the hold-back', CONTACT_ANGLE),
      "the dot's",
    ),
  },
  'The dispensing needle: by gauge, by its diameters, or by its sections',
);
