import { block, list } from './blocks.ts';
import { optional, remade, withDefault } from './field.ts';
import { CONTACT_ANGLE, ends, NOT_NEGATIVE, POSITIVE, quantity, text } from './fields.ts';
import type { Quantity } from './quantity.ts';

/** One cylinder (front = rear) or cone of a cavity, cable or needle; diameters [m], length [m]. */
export interface Section {
  readonly part: string;
  readonly front: Quantity;
  readonly rear: Quantity;
  readonly length: Quantity;
  /** Path of the section itself, e.g. `connector.cavity[0]`. */
  readonly path: string;
}

const section = block(
  {
    part: optional(text('What it is: bore, lead-in, tube, fibre, buffer, …'), 'its number'),
    diameter: ends('Diameter'),
    length: quantity('length', 'Length along the axis', POSITIVE),
  },
  'A cylinder, or a cone with two diameters',
);

/** A stack of cylinders and cones. */
export const sections = (is: string) =>
  remade(list(section, is), (stack, path): readonly Section[] =>
    stack.map(({ part, diameter: { front, rear }, length }, i) => ({
      part: part ?? `part ${i + 1}`,
      front,
      rear,
      length,
      path: `${path}[${i}]`,
    })),
  );

export const connector = block(
  {
    cavity: optional(sections('The cavity from the end face backwards; the first is the fibre bore')),
    face: optional(quantity('length', 'Diameter of the end face', POSITIVE)),
    cable: optional(sections('The cable from the tip of the fibre backwards')),
    protrusion: withDefault(
      quantity('length', 'Bare fibre in front of the end face, a part of the first cable section', NOT_NEGATIVE),
      '0 mm',
    ),
    free_fibre: optional(
      quantity('length', 'Fibre without support while it is pushed in, which may buckle', POSITIVE),
      'the first section of the cable',
    ),
    bead: optional(
      block(
        {
          diameter: quantity('length', 'Diameter of the bead wanted after the bore shot', POSITIVE),
          contact_angle: quantity('angle', 'Contact angle of the bead on the end face', CONTACT_ANGLE),
        },
        'The bead on the end face',
      ),
    ),
    reach: optional(
      block(
        {
          min: quantity('length', 'Least reach of the epoxy behind the end face, cable in', POSITIVE),
          max: quantity('length', 'Greatest reach behind the end face, cable in', POSITIVE),
          aim: optional(quantity('length', 'Wanted reach', POSITIVE), 'the middle by volume'),
        },
        'How far back the epoxy may stand once the cable is in',
      ),
    ),
    allowance: withDefault(
      quantity('percentage', 'Share of the backfill lost on the needle and wiped off, added to it', NOT_NEGATIVE),
      '0 %',
    ),
    bore_contact_angle: withDefault(
      quantity('angle', 'Contact angle in the bore; below 90 deg it draws the resin in', CONTACT_ANGLE),
      '90 deg',
    ),
    gap_contact_angle: optional(
      quantity('angle', 'Contact angle between cavity and cable, for what is drawn in behind the reach', {
        from: 0,
        below: Math.PI,
        says: 'from 0 to below 180 deg',
      }),
      '0 deg',
    ),
  },
  'The connector: cavity, cable, and what the epoxy is to reach',
);
