/** The findings of the air line and of age, in full; `explain` prints them. */
export const AIR_CODES = {
  'air-model-invalid': {
    severity: 'error',
    title: 'A number of the air model cannot be',
    why: 'A valve with a negative conductance, or a critical ratio of one, is no valve; nothing can be worked out with it.',
    remedy: 'Check the value and its unit against the valve’s data sheet or your own measurement.',
  },
  'air-volume-unknown': {
    severity: 'error',
    title: 'The air volume is not known',
    why: 'How fast the pressure rises through a valve depends on the volume of hose and ullage behind it.',
    remedy: 'Give station.syringe.barrel, or choose the air model ideal or first-order.',
  },
  'syringe-overfull': {
    severity: 'error',
    title: 'The syringe holds more than its barrel',
    why: 'The air space above the plunger is the barrel less what is filled in, and cannot be negative.',
    remedy: 'Correct station.syringe.fill or station.syringe.barrel.',
  },
  'cure-model-invalid': {
    severity: 'error',
    title: 'A number of the cure model cannot be',
    why: 'The viscosity at an age follows from these numbers; outside their range it is not defined.',
    remedy: 'Check the value and its unit against the data sheet, or fit it again.',
  },
  'temperature-invalid': {
    severity: 'error',
    title: 'The temperature profile cannot be',
    why: 'A profile is read from mixing onwards: its ages rise and its temperatures are above absolute zero.',
    remedy: 'Put the points in order of age and check their units.',
  },
  'age-past-gel': {
    severity: 'error',
    title: 'Nothing is dispensed so near the gel point',
    why: 'Close to the gel point the viscosity runs away and no setting is worth trusting; dispensing ends at 90 % of the gel age.',
    remedy: 'Mix anew earlier, cool the resin, or take smaller mixes.',
  },
  'resin-set': {
    severity: 'error',
    title: 'At this age the resin is a solid',
    why: 'By its cure model the resin has thickened a thousand million times by then; nothing flows and nothing can be worked out.',
    remedy: 'Check `process.ready_after`, `process.temperature` and the numbers and units of `resin.cure`.',
  },
  'age-past-table': {
    severity: 'warning',
    title: 'The age is beyond the cure table',
    why: 'Beyond its last point the table goes on in a straight line of the logarithm, and real resins thicken faster than that.',
    remedy: 'Measure further, or mix anew before the last point.',
  },
} as const;
