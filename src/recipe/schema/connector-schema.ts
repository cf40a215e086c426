import { block, list } from './blocks.ts';
import { optional, remade, withDefault } from './field.ts';
import { CONTACT_ANGLE, count, ends, NOT_NEGATIVE, POSITIVE, quantity, text } from './fields.ts';
import type { Quantity } from './quantity.ts';

/** One cylinder (front = rear) or cone of a cavity, cable or needle; diameters [m], length [m]. */
export interface Section {
  readonly part: string;
  readonly front: Quantity;
  readonly rear: Quantity;
  readonly length: Quantity;
  /** Path of the section itself, e.g. `connector.cavity[0]`. */
  readonly path: string;
  /** Equal passages side by side, from 2 on; absent: one. */
  readonly count?: number;
  /** From the middle of one to the middle of the next [m]. */
  readonly pitch?: Quantity;
  /** Sides of a rectangle [m]; front and rear are then the smaller of the two. */
  readonly sides?: { readonly width: Quantity; readonly height: Quantity };
}

const part = optional(text('What it is: bore, lead-in, tube, fibre, buffer, …'), 'its number');
const length = quantity('length', 'Length along the axis', POSITIVE);

const section = block({ part, diameter: ends('Diameter'), length }, 'A cylinder, or a cone with two diameters');

/** More stand in no connector; each is drawn. */
const MOST_PASSAGES = 1000;

/** Of a connector: round or rectangular, one passage or several in a row; `blockIssues` asks for one shape of it. */
const passage = block(
  {
    part,
    diameter: optional(ends('Diameter'), 'needed without `width` and `height`'),
    length,
    count: optional(count('Equal passages side by side, in the first sections', 1, MOST_PASSAGES), '1'),
    pitch: optional(quantity('length', 'From the middle of one passage to the middle of the next', POSITIVE)),
    width: optional(quantity('length', 'Width of a rectangle, along which passages stand in a row', POSITIVE)),
    height: optional(quantity('length', 'Height of a rectangle', POSITIVE)),
  },
  'A cylinder, a cone with two diameters, or a rectangle with width and height',
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

/** Such a stack of a connector. */
const passages = (is: string) =>
  remade(list(passage, is), (stack, path): readonly Section[] =>
    stack.map(({ part, diameter, length, count = 1, pitch, width, height }, i) => ({
      part: part ?? `part ${i + 1}`,
      ...(diameter ?? smallerSide(width!, height!)),
      length,
      path: `${path}[${i}]`,
      ...(count === 1 ? {} : { count }),
      ...(pitch === undefined ? {} : { pitch }),
      ...(width === undefined || height === undefined ? {} : { sides: { width, height } }),
    })),
  );

function smallerSide(width: Quantity, height: Quantity): Pick<Section, 'front' | 'rear'> {
  const side = width.value < height.value ? width : height;
  return { front: { ...side }, rear: { ...side } };
}

export const connector = block(
  {
    cavity: optional(passages('The cavity from the end face backwards; the first is the fibre bore')),
    face: optional(quantity('length', 'Diameter of the end face', POSITIVE)),
    cable: optional(passages('The cable from the tip of the fibre backwards')),
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
