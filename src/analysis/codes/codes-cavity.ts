import type { CodeText } from '../../diagnostics/finding.ts';

/** The codes of cavity, needle, dot and hold-back. */
export const cavityCodes: Record<string, CodeText> = {
  'cable-interference': {
    severity: 'error',
    title: 'The cable is thicker than the cavity',
    why: 'Somewhere behind the end face the cable would need more room than the connector has, so the two cannot be put together and no volume between them exists. Touching is allowed.',
    remedy:
      'Compare the diameters at the place named, and the lengths in front of it, with the drawings; check `protrusion`, which shifts the whole cable.',
  },
  'needle-does-not-enter': {
    severity: 'error',
    title: 'The needle does not enter the connector',
    why: 'The rear opening of the cavity is narrower than the needle is outside.',
    remedy: 'Take a thinner needle, or correct the rear diameter of the last section of the cavity.',
  },
  'needle-thinner-than-bore': {
    severity: 'error',
    title: 'The needle is thinner outside than the bore',
    why: 'A needle that is thinner than every place of the cavity never seats: it would come out at the end face. And no needle can be thinner outside than it is inside.',
    remedy:
      'Check `needle.outside` and `needle.bore` against the maker’s drawing, and the cavity from the end face backwards.',
  },
  'needle-gauge-unknown': {
    severity: 'error',
    title: 'The gauge is not in the needle table',
    why: 'Without the gauge chart nothing is known about the needle’s diameters.',
    remedy: 'Write a gauge of the table (`dwellbook needles` lists them), or give `bore` and `outside`.',
  },
  'needle-bore-unknown': {
    severity: 'error',
    title: 'The inside diameter of this wall class is not known',
    why: 'Flow goes with the fourth power of the bore, so a guessed bore would make every setting worthless. The table leaves unknown bores blank.',
    remedy:
      'Measure the bore or take it from the maker’s data sheet, and write it as `needle.bore` with its tolerance.',
  },
  'needle-outside-unknown': {
    severity: 'warning',
    title: 'The outside of a tapered tip is not known',
    why: 'Where a needle seats depends on its outside; that of a moulded tip cannot be told from its inside.',
    remedy: 'Measure the tip’s outside diameter and write it as `needle.outside`.',
  },
  'reach-beyond-cavity': {
    severity: 'error',
    title: 'The reach lies beyond the cavity',
    why: 'Epoxy that stands behind the rear of the cavity is outside the connector.',
    remedy: 'Shorten `reach`, or complete the sections of the cavity.',
  },
  'aim-outside-reach': {
    severity: 'error',
    title: 'The aim lies outside the reach window',
    why: 'A setpoint found for this aim would deliver connectors outside their own window.',
    remedy: 'Put `reach.aim` between `reach.min` and `reach.max`, or leave it out: then it is the middle by volume.',
  },
  'backfill-not-positive': {
    severity: 'error',
    title: 'The bore shot alone passes the reach',
    why: 'What the bore shot leaves behind the bore already takes up the volume that is free up to this reach, so no backfill shot could meet it.',
    remedy:
      'Take a thinner needle, which seats further forward and so leaves less; or move the reach back; or check the diameters of the cavity.',
  },
  'bead-over-face': {
    severity: 'error',
    title: 'The final bead flows over the end face',
    why: 'The fibre pushes the epoxy of the bore forward onto the end face. A bead wider than the face runs down the ferrule, where it hardens and spoils the fit.',
    remedy: 'Make `bead.diameter` smaller, or correct `face` or `bead.contact_angle`.',
  },
  'bead-smaller-than-bore': {
    severity: 'warning',
    title: 'The wanted bead is smaller than the fibre bore',
    why: 'A bead stands on the end face around the bore; one that is smaller than the hole is no bead.',
    remedy: 'Make `bead.diameter` greater than the diameter of the bore.',
  },
  'cable-shorter-than-reach': {
    severity: 'warning',
    title: 'The cable ends in front of the reach',
    why: 'Behind the cable’s last section the cavity counts as empty, which asks for more epoxy than there is room for if the cable really goes on.',
    remedy: 'Lengthen the cable’s last section so that it leaves the cavity at the rear.',
  },
  'cavity-incomplete': {
    severity: 'warning',
    title: 'A part of the cavity’s book was left out',
    why: 'A block that it needs is missing; what does not depend on it is computed all the same.',
    remedy: 'Add the block named, if the missing numbers matter.',
  },
  'contact-angle-out-of-range': {
    severity: 'error',
    title: 'The contact angle is outside the drop model',
    why: 'The drop model is checked from 5° to 175°. Below, the edge of a dot cannot be read; above, a drop hardly touches.',
    remedy: 'Check the angle, or weigh some dots and give `resin.dot.calibration`.',
  },
  'dot-calibration-pattern': {
    severity: 'warning',
    title: 'The calibration dots leave a pattern against the drop model',
    why: 'Residuals that grow or fall with the size of the dot are no reading errors: the resin does not rest in the shape of a drop (yield stress, too short a wait), or surface tension or density is wrong. Between other sizes the fitted angle then misleads.',
    remedy:
      'Wait longer before reading, check surface tension and density, and calibrate with dots of the size that the gauge shows.',
  },
  'dot-calibration-at-limit': {
    severity: 'error',
    title: 'No contact angle fits the weighed dots',
    why: 'The best angle lies at the end of the model’s range, so masses and diameters do not belong together as sessile drops.',
    remedy: 'Check units, `shots` (the mass is that of all shots on one circle together) and the resin’s density.',
  },
  'dot-does-not-relax': {
    severity: 'warning',
    title: 'The yield stress keeps the dot from relaxing',
    why: 'The yield stress is above the pressure that drives the drop to its shape (2γ/b + ρgh), so it stays as it was laid down and its diameter does not follow the drop model.',
    remedy: 'Give calibration pairs of weighed dots of the size used, or weigh shots instead of measuring dots.',
  },
  'hold-back-none': {
    severity: 'warning',
    title: 'No hold-back vacuum keeps the tip at rest',
    why: 'At rest the tip either drips or draws air in, whatever the vacuum.',
    remedy: 'Take a finer needle, or a lower fill, and cap the tip between shots.',
  },
  'hold-back-two-settings': {
    severity: 'warning',
    title: 'The hold-back must be changed while the syringe empties',
    why: 'The windows of the full and of the nearly empty syringe do not overlap: a vacuum that stops the drip when full draws air in when empty.',
    remedy: 'Set the hold-back anew during the syringe, fill less, or take a finer needle.',
  },
  'hold-back-beyond-station': {
    severity: 'warning',
    title: 'The station cannot hold the resin back',
    why: 'The least vacuum that stops the drip is more than the station has.',
    remedy: 'Fill less, take a finer needle, or cap the tip between shots.',
  },
};
