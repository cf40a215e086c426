import { byCheck, byCommand, byCommandAlways, findingOf } from './coded.ts';

/** The codes of resin, needle, air line and age, and of shot, setpoint and ramp. */
export const deliveryCodes = {
  'air-model-invalid': byCheck.error(
    'A value of the air model is impossible',
    'No valve has a negative conductance or a critical ratio of one; nothing can be computed with it.',
    'Check the value and its unit against the valve’s data sheet or your own measurement.',
  ),
  'air-volume-unknown': byCheck.error(
    'The air volume is not known',
    'How fast the pressure rises through a valve depends on the volume of hose and ullage behind it.',
    'Give station.syringe.barrel, or choose the air model ideal or first-order.',
  ),
  'syringe-overfull': byCommand.error(
    'The syringe holds more than its barrel',
    'The air space above the plunger is the barrel less what is filled in, and cannot be negative.',
    'Correct station.syringe.fill or station.syringe.barrel.',
  ),
  'cure-model-invalid': byCommand.error(
    'A value of the cure model is impossible',
    'The viscosity at an age follows from these numbers; outside their range it is not defined.',
    'Check the value and its unit against the data sheet, or fit it again.',
  ),
  'temperature-invalid': byCheck.error(
    'The temperature profile is impossible',
    'A profile is read from mixing onwards: its ages rise and its temperatures are above absolute zero.',
    'Put the points in order of age and check their units.',
  ),
  'age-past-gel': byCheck.error(
    'Nothing is dispensed so near the gel point',
    'Close to the gel point the viscosity runs away and no setting is worth trusting; dispensing ends at 90 % of the gel age.',
    'Mix anew earlier, cool the resin, or take smaller mixes.',
  ),
  'resin-set': byCheck.error(
    'At this age the resin is a solid',
    'By its cure model the resin has thickened a thousand million times by then; nothing flows and nothing can be worked out.',
    'Check `process.ready_after`, `process.temperature` and the numbers and units of `resin.cure`.',
  ),
  'age-past-table': byCheck.warning(
    'The age is beyond the cure table',
    'Beyond its last point the table goes on in a straight line of the logarithm, and real resins thicken faster than that.',
    'Measure further, or mix anew before the last point.',
  ),
  'needle-gauge-unknown': byCheck.error(
    'The gauge is not in the needle table',
    'Without the gauge chart nothing is known about the needle’s diameters.',
    'Write a gauge of the table (`dwellbook needles` lists them), or give `bore` and `outside`.',
  ),
  'needle-bore-unknown': byCheck.error(
    'The inside diameter of this wall class is not known',
    'Flow goes with the fourth power of the bore, so a guessed bore would make every setting worthless. The table leaves unknown bores blank.',
    'Measure the bore or take it from the maker’s data sheet, and write it as `needle.bore` with its tolerance.',
  ),
  'needle-outside-unknown': byCheck.warning(
    'The outside of a tapered tip is not known',
    'Where a needle seats depends on its outside; that of a moulded tip cannot be told from its inside.',
    'Measure the tip’s outside diameter and write it as `needle.outside`.',
  ),
  'hold-back-none': byCheck.warning(
    'No hold-back vacuum keeps the tip at rest',
    'At rest the tip either drips or draws air in, whatever the vacuum.',
    'Take a finer needle, or a lower fill, and cap the tip between shots.',
  ),
  'hold-back-two-settings': byCheck.warning(
    'The hold-back must be changed while the syringe empties',
    'The windows of the full and of the nearly empty syringe do not overlap: a vacuum that stops the drip when full draws air in when empty.',
    'Set the hold-back anew during the syringe, fill less, or take a finer needle.',
  ),
  'hold-back-beyond-station': byCheck.warning(
    'The station cannot hold the resin back',
    'The least vacuum that stops the drip is more than the station has.',
    'Fill less, take a finer needle, or cap the tip between shots.',
  ),
  'block-missing': byCommand.error(
    'The recipe lacks a block that the command needs',
    'Every command asks only for the blocks it needs, and this one cannot be guessed.',
    'Add the key that the message names; `dwellbook schema` describes it.',
  ),
  'flow-model-invalid': byCheck.error(
    'A value of the flow model is impossible',
    'A resin flows only where its shear stress rises with the shear rate; with these numbers it would not, or not at every rate.',
    'Check the number against the data sheet or the rheometer.',
  ),
  'cure-temperature': byCheck.warning(
    'The pot life is not corrected for temperature',
    'Some ten degrees double the rate at which a resin thickens. A pot life without an activation energy, and a cure table, know one temperature only.',
    'Give `resin.cure.activation_energy`, or the pot life or table at the temperature of the room with `resin.cure.reference_temperature`.',
  ),
  'syringe-empty': byCommand.error(
    'More has left the syringe than was in it',
    'The air space above the plunger, and so the shot, is worked out from what has left.',
    'Ask for a smaller dispensed volume, or correct `station.syringe.fill`.',
  ),
  'resin-does-not-flow': byCheck.error(
    'The pressure does not move the resin',
    'Plunger friction, the yield stress in the needle and a calibrated offset come off the set pressure first; at and below their sum nothing leaves the needle.',
    'Raise the pressure above the one named, or take a wider or shorter needle.',
  ),
  'flow-not-laminar': byCheck.error(
    'The flow is no longer laminar',
    'Above a Reynolds number of 2000 the laws of laminar flow do not hold, and with them none of the numbers of the shot.',
    'Lower the pressure or take a narrower needle.',
  ),
  'kinetic-loss': byCheck.warning(
    'The speed of the jet takes a share of the pressure',
    'The pressure that accelerates the resin is not in the flow laws. From one per cent on the shot is noticeably smaller than computed.',
    'Lower the pressure, take a wider or longer needle, or calibrate with weighed shots.',
  ),
  'needle-cone-steep': byCheck.warning(
    'A cone of the needle is steep',
    'The flow through a cone is worked out slice by slice as in a tube, which holds up to a half-angle of about 15°.',
    'Calibrate with weighed shots, or split the cone as the drawing of the tip shows it.',
  ),
  'shear-outside-curve': byCheck.warning(
    'The shear rate is outside the measured flow curve',
    'Beyond its ends the curve is carried on by its formula, or a table in a straight line of the logarithms, which nobody has measured.',
    'Measure the flow curve over the range of the needle, or stay with a needle and pressure inside it.',
  ),
  'head-left-out': byCheck.warning(
    'The resin’s own weight is a noticeable share of the pressure',
    'The head of the resin adds to or takes from the pressure as the syringe is held, and is left out of the shot; here it passes one per cent.',
    'Work at a higher pressure, or hold the syringe the same way for every shot.',
  ),
  'meniscus-left-out': byCheck.warning(
    'Surface tension at the tip is a noticeable share of the pressure',
    'A drop that forms at the tip holds back up to 4γ/d, which is left out of the shot; here it passes one per cent of the pressure.',
    'Work at a higher pressure, keep the tip in the resin, or calibrate with weighed shots.',
  ),
  'setpoint-impossible': byCommand.error(
    'No setting of the station delivers the aim',
    'The limits of pressure and dwell, the rating of the air line and the needle together do not allow it.',
    'Take another needle (`--needles` compares some), or widen the limit that the message names where the equipment allows it.',
  ),
  'setpoint-coarse': byCommand.warning(
    'The resolution of the station is coarse for this shot',
    'The best setting still misses the aim by more than a tenth of the tolerance.',
    'Take a narrower needle or a lower pressure, so that one step of dwell is a smaller share of the shot.',
  ),
  'ramp-endless': byCommand.error(
    'Nothing ends the ramp',
    'A ramp ends when the resin is too thick or too old, the syringe empty or a limit of the station reached; the recipe has none of these.',
    'Give `process.stop_at` or `station.syringe`.',
  ),
  'ramp-no-shot': byCommand.error(
    'No shot is possible',
    'What ends a ramp is reached before its first shot.',
    'Correct the limit that the message names, or start earlier.',
  ),
  'ramp-tolerance': byCommand.warning(
    'No step program keeps the tolerance',
    'Some shot misses the aim by more than the tolerance at every setting that a program can give it.',
    'Stop earlier, take a finer resolution, a larger tolerance, or a resin that thickens more slowly.',
  ),
  'ramp-stages': byCommand.warning(
    'The station holds fewer stages than the tolerance needs',
    'One step program after the other keeps the tolerance, but the station stores fewer of them.',
    'Change over by hand at the shots named, stop earlier, or use the best program that the station holds.',
  ),
  'not-computed': byCommandAlways.error(
    'One of several recipes could not be computed',
    'A fault in dwellbook, not in the recipe: its computation broke off. The other recipes of the call are done as ever.',
    'Run the command on this recipe alone with `--trace`, and report the recipe with what it says.',
  ),
};

export const deliveryFinding = findingOf(deliveryCodes);
