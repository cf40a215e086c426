import { byCommand, findingOf } from './coded.ts';

/** The codes of mixing. */
export const mixCodes = {
  'mix-no-mass': byCommand.error(
    'No mass can be mixed as the recipe asks',
    'Below the least mass the scale does not keep the ratio; above the largest the mix heats itself. Here the first is above the second.',
    'Weigh on a finer scale, mix in a wider or cooler cup, or use the mix sooner.',
  ),
  'mix-mass-odd': byCommand.error(
    'Nobody can mix that mass by hand',
    'Masses from ten milligrams to a tonne are looked at; beyond that no balance of heat or weight says anything.',
    'Correct the mass, with its unit.',
  ),
  'mix-too-small': byCommand.warning(
    'The scale does not keep the ratio of so small a mass',
    'An error of weighing counts for more, the less is weighed: off its ratio the resin cures soft or brittle, and nobody sees it.',
    'Mix at least the least mass, or weigh on a finer scale.',
  ),
  'mix-too-large': byCommand.warning(
    'So large a mass heats itself before it is used',
    'Cure sets heat free, heat quickens the cure: a large mass runs away, boils, smokes and burns. Long before that it thickens faster than the recipe says.',
    'Mix less at a time, in a wider and shallower cup, and fill the syringes at once.',
  ),
  'mix-runs-away': byCommand.warning(
    'What stays in the cup runs away',
    'A mass that is forgotten in its cup heats itself far above the room: it can burn skin, crack the cup, boil, smoke and catch fire. From 50 K on this is said (ours, without a source).',
    'Empty the cup at once, spread what is left thin, and mix no more than is used.',
  ),
  'mix-hot-core': byCommand.warning(
    'The core of the mass is hotter than its balance says',
    'The balance has one temperature for the whole mass. Above 0.1 of h·(V/A)/k the inside lags behind the wall, and is the hotter part.',
    'Take the largest mass as too large, and mix less or in a shallower layer.',
  ),
  'mix-heat-unknown': byCommand.warning(
    'How the mix heats itself is not worked out',
    'The heat of a mass takes its kinetics, its heat of reaction and capacity, and the cup: the recipe has a part of that, so that no largest mass is known.',
    'Add what the message names, from the data sheet of the resin or from calorimetry.',
  ),
  'mix-by-eye': byCommand.warning(
    'The least mass is not known',
    'What a scale keeps of a ratio depends on how finely it weighs, and the recipe says nothing of it.',
    'Add `station.scale`: the half-width of one net weighing.',
  ),
};

export const mixFinding = findingOf(mixCodes);
