import type { CodeText } from '../../diagnostics/finding.ts';

/** The codes of the gauge sheet; `explain` prints them. */
export const gaugeCodes = {
  'gauge-option': {
    severity: 'error',
    title: 'An option of the gauge cannot be',
    why: 'Shots and circles are counted from 1. A printed bar that is more than 10 % off was not printed at 100 %: correcting the drawing would only hide that.',
    remedy:
      'Print at 100 %, without fitting to the page, and divide the measured length of the bar by its nominal one.',
  },
  'gauge-too-large': {
    severity: 'error',
    title: 'The rings do not fit the paper',
    why: 'So many shots on one circle make a dot that is larger than the field of the sheet.',
    remedy: 'Put fewer shots on one circle (`--shots`), or weigh the shots instead.',
  },
  'gauge-reading-coarse': {
    severity: 'warning',
    title: 'The reading of a circle cannot tell the tolerance',
    why: 'A misreading by `resin.dot.reading_error` is more than half the tolerance in volume, so a good shot may be judged bad and a bad one good.',
    remedy:
      'Put more shots on one circle, read with a magnifier and say so in `resin.dot.reading_error`, or weigh the shots.',
  },
  'gauge-rings-close': {
    severity: 'warning',
    title: 'Two rings lie closer than the reading error',
    why: 'The diameter grows with the cube root of the volume: a narrow window leaves little paper between the rings, and an eye that errs by more cannot say on which side of a ring the dot ends.',
    remedy: 'Put more shots on one circle, or weigh the shots.',
  },
  'gauge-uncalibrated': {
    severity: 'error',
    title: 'A gauge for this resin needs calibration pairs',
    why: 'The yield stress is above the pressure that drives a dot to its shape, so the dot stays as it was laid down. Rings from a contact angle would be exact and wrong.',
    remedy: 'Weigh some dots of the size of the gauge, read their diameters and give them as `resin.dot.calibration`.',
  },
} as const satisfies Record<string, CodeText>;
