import { byCommandAlways, findingOf } from './coded.ts';

/** The codes of a family of connectors. */
export const familyCodes = {
  'family-resins': byCommandAlways.error(
    'Recipes of different resins share no syringe',
    'One needle, one pressure and one pot hold for one resin: another one flows and cures otherwise, and mixed residues cure to neither.',
    'Name only recipes of one resin, or let them start from the same part.',
  ),
  'family-none': byCommandAlways.error(
    'No needle and pressure serve every member',
    'A family shares both. Here each needle is too thick, too short or too slow for some member, or their stations have no pressure in common.',
    'Try other needles with `--needles`, or split the family.',
  ),
  'family-coarse': byCommandAlways.warning(
    'The shared setting misses the aim of a member',
    'At one pressure for all the dwell step of a member may fall further from its aim than at a pressure of its own.',
    'Split the family, or take a station with a finer dwell step.',
  ),
  'family-gauge-apart': byCommandAlways.warning(
    'Members read the same dot differently',
    'A dot still spreads when it is read. Members whose resin is older or colder at that time read a smaller dot for the same volume, and one scale fits only one of them.',
    'Read later, or print each member its own `gauge`.',
  ),
};

export const familyFinding = findingOf(familyCodes);
