import { byCheck, byCommand, findingOf } from './coded.ts';

/** The codes of connector and cavity. */
export const cavityCodes = {
  'cable-interference': byCheck.error(
    'The cable is thicker than the cavity',
    'Somewhere behind the end face the cable would need more room than the connector has, so the two cannot be put together and no volume between them exists. Touching is allowed.',
    'Compare the diameters at the place named, and the lengths in front of it, with the drawings; check `protrusion`, which shifts the whole cable.',
  ),
  'needle-does-not-enter': byCheck.error(
    'The needle does not enter the connector',
    'The rear opening of the cavity is narrower than the needle is outside.',
    'Take a thinner needle, or correct the rear diameter of the last section of the cavity.',
  ),
  'needle-thinner-than-bore': byCheck.error(
    'The needle is thinner outside than the bore',
    'A needle that is thinner than every place of the cavity never seats: it would come out at the end face. And no needle can be thinner outside than it is inside.',
    'Check `needle.outside` and `needle.bore` against the maker’s drawing, and the cavity from the end face backwards.',
  ),
  'reach-beyond-cavity': byCheck.error(
    'The reach lies beyond the cavity',
    'Epoxy that stands behind the rear of the cavity is outside the connector.',
    'Shorten `reach`, or complete the sections of the cavity.',
  ),
  'aim-outside-reach': byCheck.error(
    'The aim lies outside the reach window',
    'A setpoint found for this aim would deliver connectors outside their own window.',
    'Put `reach.aim` between `reach.min` and `reach.max`, or leave it out: then it is the middle by volume.',
  ),
  'backfill-not-positive': byCheck.error(
    'The bore shot alone passes the reach',
    'What the bore shot leaves behind the bore already takes up the volume that is free up to this reach, so no backfill shot could meet it.',
    'Take a thinner needle, which seats further forward and so leaves less; or move the reach back; or check the diameters of the cavity.',
  ),
  'bead-over-face': byCheck.error(
    'The final bead flows over the end face',
    'The fibre pushes the epoxy of the bore forward onto the end face. A bead wider than the face runs down the ferrule, where it hardens and spoils the fit.',
    'Make `bead.diameter` smaller, or correct `face` or `bead.contact_angle`.',
  ),
  'bead-smaller-than-bore': byCheck.warning(
    'The wanted bead is smaller than the fibre bore',
    'A bead stands on the end face around the bore; one that is smaller than the hole is no bead.',
    'Make `bead.diameter` greater than the diameter of the bore.',
  ),
  'beads-meet': byCheck.warning(
    'The beads of neighbouring bores meet',
    'Beads that touch run together into one, which spreads over the end face as it likes; how much stands on each bore is then not known.',
    'Make `bead.diameter` smaller, so that the final bead, with its fibre, stays below the `pitch` of the bores.',
  ),
  'cable-shorter-than-reach': byCheck.warning(
    'The cable ends in front of the reach',
    'Behind the cable’s last section the cavity counts as empty, which asks for more epoxy than there is room for if the cable really goes on.',
    'Lengthen the cable’s last section so that it leaves the cavity at the rear.',
  ),
  'rectangle-not-newtonian': byCheck.error(
    'The flow through a rectangle is known for Newtonian resins only',
    'The exact series for rectangular passages holds for a viscosity that shear does not change. For any other resin the bore shot through this section, its time and its bead cannot be worked out.',
    'Take a round section of the same area in front of the seat, or a needle that seats in front of the rectangle, or the resin as Newtonian at the shear that rules there.',
  ),
  'cavity-incomplete': byCommand.warning(
    'Part of the cavity result is missing',
    'A block that this part needs is missing; the rest is computed all the same.',
    'Add the block named, if the missing numbers matter.',
  ),
};

export const cavityFinding = findingOf(cavityCodes);
