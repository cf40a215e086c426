import * as z from 'zod/mini';
import { block, CONTACT_ANGLE, described, ends, NOT_NEGATIVE, POSITIVE, quantity, text } from './fields.ts';

/** One cylinder or cone of a stack. */
export const section = block(
  {
    part: z.optional(text('What it is: bore, lead-in, tube, fibre, buffer, …')),
    diameter: ends('Diameter'),
    length: quantity('length', 'Length along the axis', POSITIVE),
  },
  'A cylinder, or a cone with two diameters.',
);

export const connector = block(
  {
    cavity: z.optional(
      described(
        z.array(section).check(z.minLength(1)),
        'The cavity from the end face backwards; the first is the bore.',
      ),
    ),
    face: z.optional(quantity('length', 'Diameter of the end face', POSITIVE)),
    cable: z.optional(described(z.array(section).check(z.minLength(1)), 'The cable from its tip backwards.')),
    protrusion: z.optional(quantity('length', 'Bare fibre in front of the end face', NOT_NEGATIVE)),
    bead: z.optional(
      block(
        {
          diameter: quantity('length', 'Diameter of the bead wanted after the bore shot', POSITIVE),
          contact_angle: quantity('angle', 'Contact angle of the bead on the end face', CONTACT_ANGLE),
        },
        'The bead on the end face.',
      ),
    ),
    reach: z.optional(
      block(
        {
          min: quantity('length', 'Least reach from the end face', POSITIVE),
          max: quantity('length', 'Greatest reach from the end face', POSITIVE),
          aim: z.optional(quantity('length', 'Wanted reach; the middle by volume without', POSITIVE)),
        },
        'How far back the epoxy may stand once the cable is in.',
      ),
    ),
    allowance: z.optional(
      quantity('percentage', 'Share of the backfill lost on the needle and wiped off', NOT_NEGATIVE),
    ),
    bore_contact_angle: z.optional(quantity('angle', 'Contact angle in the bore', CONTACT_ANGLE)),
  },
  'The connector: cavity, cable, and what the epoxy is to reach.',
);
