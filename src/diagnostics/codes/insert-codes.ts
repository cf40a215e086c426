import { byCommand, findingOf } from './coded.ts';

/** The codes of putting the fibre in. */
export const insertCodes = {
  'insert-no-gap': byCommand.error(
    'The fibre does not stand in its bore',
    'Drag is that of a film of resin between fibre and bore; without a gap, or without a fibre there, there is none.',
    'Check the first section of cavity and cable, and `protrusion`.',
  ),
  'insert-not-round': byCommand.error(
    'The drag on anything but a round fibre in a round bore is not known',
    'The film of resin that drags is worked out between two cylinders; a ribbon or a flat slot has another.',
    'Give the first section of cavity and cable as bores and fibres with their diameters, and `count` where there are several.',
  ),
  'insert-too-late': byCommand.error(
    'The resin is too near its gel point',
    'Close to the gel point the viscosity runs away, and no drag is worth trusting.',
    'Put the fibre in earlier, or correct `--age`.',
  ),
  'insert-slow': byCommand.warning(
    'The free fibre buckles at a very low speed',
    'A fibre that buckles breaks, or scratches on the edge of its bore, which nobody sees afterwards.',
    'Support the fibre nearer to the connector, push it in earlier, warm the resin, or widen the bore.',
  ),
};

export const insertFinding = findingOf(insertCodes);
