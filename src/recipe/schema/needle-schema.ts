import * as z from 'zod/mini';
import { foundText } from '../yaml/plain-data.ts';
import { section } from './connector-schema.ts';
import { block, CONTACT_ANGLE, described, field, POSITIVE, quantity, word } from './fields.ts';

/** Gauge numbers are numbers with, at times, a letter: 22, 22s. */
const gauge = field<string>(
  'Gauge number, looked up in the needle table.',
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
);

export const needle = block(
  {
    gauge: z.optional(gauge),
    wall: z.optional(word(['regular', 'thin', 'extra-thin'], 'Wall class.')),
    length: z.optional(quantity('length', 'Length of the cannula', POSITIVE)),
    bore: z.optional(quantity('length', 'Inside diameter; the gauge gives it where it is absent', POSITIVE)),
    outside: z.optional(quantity('length', 'Outside diameter; the gauge gives it where it is absent', POSITIVE)),
    sections: z.optional(
      described(
        z.array(section).check(z.minLength(1)),
        'A needle of several pieces, from the barrel to the tip; in place of bore and length.',
      ),
    ),
    ends: z.optional(word(['entrance', 'both', 'none'], 'Which openings add to the resistance.')),
    contact_angle: z.optional(quantity('angle', 'Contact angle in the needle', CONTACT_ANGLE)),
  },
  'The dispensing needle: by gauge, by its diameters, or by its sections.',
);
