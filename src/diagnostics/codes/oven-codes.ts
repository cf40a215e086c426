import { byCheck, byCommand, findingOf } from './coded.ts';

/** The codes of the oven. */
export const ovenCodes = {
  'oven-glass-low': byCheck.warning(
    'The oven does not reach the glass transition that is required',
    'Above its glass transition the resin softens: the fibre moves in its bore, and the polished end with it.',
    'Cure longer or hotter, within the data sheet, or correct `resin.glass`.',
  ),
  'oven-no-gel': byCheck.warning(
    'The resin does not gel in the oven',
    'What has not gelled still flows: it runs out of the connector and holds nothing.',
    'Cure longer or hotter, within the data sheet of the resin.',
  ),
  'oven-reach': byCheck.warning(
    'Resin is drawn further back than it may reach',
    'Warm resin is thin, and the narrow gap between cavity and cable draws it in until it sets: it locks what has to move, though the shot was right.',
    'Warm up faster to the gel point, aim at a shorter reach, take a resin that is thicker when warm, or widen the gap.',
  ),
  'oven-no-kinetics': byCommand.error(
    'The cure model knows no conversion',
    'An oven is far from the bench at which a pot life was read. What happens in it follows from kinetics alone.',
    'Give `resin.cure` as castro-macosko, from the calorimetry of the resin.',
  ),
  'oven-too-late': byCommand.error(
    'The resin has gelled before the oven',
    'Its conversion there is not followed beyond the gel point on the bench, and nothing is drawn in any more.',
    'Put the connector into the oven earlier, or correct `--age`.',
  ),
  'oven-impossible': byCommand.error(
    'The oven cannot be computed',
    'Temperatures lie above 0 K, and a rate of cure beyond all numbers cannot be followed.',
    'Check `process.oven`, `resin.glass` and the kinetics, with their units.',
  ),
};

export const ovenFinding = findingOf(ovenCodes);
