import { byCheck, byCommand, findingOf } from './coded.ts';

/** The codes of dot and gauge sheet. */
export const dotCodes = {
  'contact-angle-out-of-range': byCheck.error(
    'The contact angle is outside the drop model',
    'The drop model is checked from 5° to 175°. Below, the edge of a dot cannot be read; above, a drop hardly touches.',
    'Check the angle, or weigh some dots and give `resin.dot.calibration`.',
  ),
  'dot-calibration-pattern': byCheck.warning(
    'The calibration dots leave a pattern against the drop model',
    'Residuals that grow or fall with the size of the dot are no reading errors: the resin does not rest in the shape of a drop (yield stress, too short a wait), or surface tension or density is wrong. Between other sizes the fitted angle then misleads.',
    'Wait longer before reading, check surface tension and density, and calibrate with dots of the size that the gauge shows.',
  ),
  'dot-calibration-at-limit': byCheck.error(
    'No contact angle fits the weighed dots',
    'The best angle lies at the end of the model’s range, so masses and diameters do not belong together as sessile drops.',
    'Check units, `shots` (the mass is that of all shots on one circle together) and the resin’s density.',
  ),
  'dot-does-not-relax': byCheck.warning(
    'The yield stress keeps the dot from relaxing',
    'The yield stress is above the pressure that drives the drop to its shape (2γ/b + ρgh), so it stays as it was laid down and its diameter does not follow the drop model.',
    'Give calibration pairs of weighed dots of the size used, or weigh shots instead of measuring dots.',
  ),
  'dot-spread-unknown': byCommand.warning(
    'Whether the dot is at rest when it is read is not known',
    'A resin with a yield stress slows down and stops in a shape of its own; how long that takes no model here says.',
    'Weigh some dots that were read after the same time and give them as `resin.dot.calibration`, or weigh the shots.',
  ),
  'dot-spread-gravity': byCommand.warning(
    'Gravity spreads so wide a dot faster than the model has it',
    'The spreading law holds for dots that surface tension drives. Wider than the capillary length their weight helps: the dot is nearer to rest, and holds less, than is read.',
    'Read later, put fewer shots on one circle, or calibrate with weighed dots read after the same time.',
  ),
  'gauge-option': byCommand.error(
    'A dot gauge option is impossible',
    'Shots and circles are counted from 1. A printed bar that is more than 10 % off was not printed at 100 %: correcting the drawing would only hide that.',
    'Print at 100 %, without fitting to the page, and divide the measured length of the bar by its nominal one.',
  ),
  'gauge-too-large': byCommand.error(
    'The rings do not fit the paper',
    'So many shots on one circle make a dot that is larger than the field of the sheet.',
    'Put fewer shots on one circle (`--shots`), or weigh the shots instead.',
  ),
  'gauge-reading-coarse': byCheck.warning(
    'The reading of a circle cannot tell the tolerance',
    'A misreading by `resin.dot.reading_error` is more than half the tolerance in volume, so a good shot may be judged bad and a bad one good.',
    'Put more shots on one circle, read with a magnifier and say so in `resin.dot.reading_error`, or weigh the shots.',
  ),
  'gauge-rings-close': byCheck.warning(
    'Two rings lie closer than the reading error',
    'The diameter grows with the cube root of the volume: a narrow window leaves little paper between the rings, and an eye that errs by more cannot say on which side of a ring the dot ends.',
    'Put more shots on one circle, or weigh the shots.',
  ),
  'gauge-uncalibrated': byCommand.error(
    'A gauge for this resin needs calibration pairs',
    'The yield stress is above the pressure that drives a dot to its shape, so the dot stays as it was laid down. Rings from a contact angle would be exact and wrong.',
    'Weigh some dots of the size of the gauge, read their diameters and give them as `resin.dot.calibration`.',
  ),
};

export const dotFinding = findingOf(dotCodes);
