import * as z from 'zod';
import { block, CONTACT_ANGLE, ends, NOT_NEGATIVE, POSITIVE, quantity, text } from './fields.ts';

/** One cylinder or cone of a stack. */
export const section = block(
  {
    part: text('What it is: bore, lead-in, tube, fibre, buffer, …').optional(),
    diameter: ends('Diameter'),
    length: quantity('length', 'Length along the axis', POSITIVE),
  },
  'A cylinder, or a cone with two diameters.',
);

export const connector = block(
  {
    cavity: z
      .array(section)
      .min(1)
      .describe('The cavity from the end face backwards; the first is the bore.')
      .optional(),
    face: quantity('length', 'Diameter of the end face', POSITIVE).optional(),
    cable: z.array(section).min(1).describe('The cable from its tip backwards.').optional(),
    protrusion: quantity('length', 'Bare fibre in front of the end face', NOT_NEGATIVE).optional(),
    bead: block(
      {
        diameter: quantity('length', 'Diameter of the bead wanted after the bore shot', POSITIVE),
        contact_angle: quantity('angle', 'Contact angle of the bead on the end face', CONTACT_ANGLE),
      },
      'The bead on the end face.',
    ).optional(),
    reach: block(
      {
        min: quantity('length', 'Least reach from the end face', POSITIVE),
        max: quantity('length', 'Greatest reach from the end face', POSITIVE),
        aim: quantity('length', 'Wanted reach; the middle by volume without', POSITIVE).optional(),
      },
      'How far back the epoxy may stand once the cable is in.',
    ).optional(),
    allowance: quantity(
      'percentage',
      'Share of the backfill lost on the needle and wiped off',
      NOT_NEGATIVE,
    ).optional(),
    bore_contact_angle: quantity('angle', 'Contact angle in the bore', CONTACT_ANGLE).optional(),
  },
  'The connector: cavity, cable, and what the epoxy is to reach.',
);
