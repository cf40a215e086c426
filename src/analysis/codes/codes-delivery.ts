import type { CodeText } from '../../diagnostics/finding.ts';
import { type Finding, finding } from '../../diagnostics/finding.ts';

/** The codes of shot, setpoint and ramp; `explain` prints them. */
export const deliveryCodes = {
  'block-missing': {
    severity: 'error',
    title: 'The recipe lacks a block that the command needs',
    why: 'Every command asks only for the blocks it needs, and this one cannot be guessed.',
    remedy: 'Add the key that the message names; `dwellbook schema` describes it.',
  },
  'flow-model-invalid': {
    severity: 'error',
    title: 'A number of the flow model cannot be',
    why: 'A resin flows only where its shear stress rises with the shear rate; with these numbers it would not, or not at every rate.',
    remedy: 'Check the number against the data sheet or the rheometer.',
  },
  'cure-temperature': {
    severity: 'warning',
    title: 'Thickening is taken from another temperature as it is',
    why: 'Some ten degrees double the rate at which a resin thickens. A pot life without an activation energy, and a cure table, know one temperature only.',
    remedy:
      'Give `resin.cure.activation_energy`, or the pot life or table at the temperature of the room with `resin.cure.reference_temperature`.',
  },
  'syringe-empty': {
    severity: 'error',
    title: 'More has left the syringe than was in it',
    why: 'The air space above the plunger, and so the shot, is worked out from what has left.',
    remedy: 'Ask for a smaller dispensed volume, or correct `station.syringe.fill`.',
  },
  'resin-does-not-flow': {
    severity: 'error',
    title: 'The pressure does not move the resin',
    why: 'Plunger friction, the yield stress in the needle and a calibrated offset come off the set pressure first; at and below their sum nothing leaves the needle.',
    remedy: 'Raise the pressure above the one named, or take a wider or shorter needle.',
  },
  'flow-not-laminar': {
    severity: 'error',
    title: 'The flow is no longer laminar',
    why: 'Above a Reynolds number of 2000 the laws of laminar flow do not hold, and with them none of the numbers of the shot.',
    remedy: 'Lower the pressure or take a narrower needle.',
  },
  'kinetic-loss': {
    severity: 'warning',
    title: 'The speed of the jet takes a share of the pressure',
    why: 'The pressure that accelerates the resin is not in the flow laws. From one per cent on the shot is noticeably smaller than computed.',
    remedy: 'Lower the pressure, take a wider or longer needle, or calibrate with weighed shots.',
  },
  'needle-cone-steep': {
    severity: 'warning',
    title: 'A cone of the needle is steep',
    why: 'The flow through a cone is worked out slice by slice as in a tube, which holds up to a half-angle of about 15°.',
    remedy: 'Calibrate with weighed shots, or split the cone as the drawing of the tip shows it.',
  },
  'shear-outside-curve': {
    severity: 'warning',
    title: 'The shear rate is outside the measured flow curve',
    why: 'Beyond its ends the curve is carried on in a straight line of the logarithms, which nobody has measured.',
    remedy: 'Measure the flow curve over the range of the needle, or stay with a needle and pressure inside it.',
  },
  'head-left-out': {
    severity: 'warning',
    title: 'The resin’s own weight is a noticeable share of the pressure',
    why: 'The head of the resin adds to or takes from the pressure as the syringe is held, and is left out of the shot; here it passes one per cent.',
    remedy: 'Work at a higher pressure, or hold the syringe the same way for every shot.',
  },
  'meniscus-left-out': {
    severity: 'warning',
    title: 'Surface tension at the tip is a noticeable share of the pressure',
    why: 'A drop that forms at the tip holds back up to 4γ/d, which is left out of the shot; here it passes one per cent of the pressure.',
    remedy: 'Work at a higher pressure, keep the tip in the resin, or calibrate with weighed shots.',
  },
  'setpoint-impossible': {
    severity: 'error',
    title: 'No setting of the station delivers the aim',
    why: 'The limits of pressure and dwell, the rating of the air line and the needle together do not allow it.',
    remedy:
      'Take another needle (`--needles` compares some), or widen the limit that the message names where the equipment allows it.',
  },
  'setpoint-coarse': {
    severity: 'warning',
    title: 'The resolution of the station is coarse for this shot',
    why: 'The best setting still misses the aim by more than a tenth of the tolerance.',
    remedy: 'Take a narrower needle or a lower pressure, so that one step of dwell is a smaller share of the shot.',
  },
  'ramp-endless': {
    severity: 'error',
    title: 'Nothing ends the ramp',
    why: 'A ramp ends when the resin is too thick or too old, the syringe empty or a limit of the station reached; the recipe has none of these.',
    remedy: 'Give `process.stop_at` or `station.syringe`.',
  },
  'ramp-no-shot': {
    severity: 'error',
    title: 'Not one shot can be made',
    why: 'What ends a ramp is reached before its first shot.',
    remedy: 'Correct the limit that the message names, or start earlier.',
  },
  'ramp-tolerance': {
    severity: 'warning',
    title: 'No step program keeps the tolerance',
    why: 'Some shot misses the aim by more than the tolerance at every setting that a program can give it.',
    remedy: 'Stop earlier, take a finer resolution, a larger tolerance, or a resin that thickens more slowly.',
  },
  'ramp-stages': {
    severity: 'warning',
    title: 'The station holds fewer stages than the tolerance needs',
    why: 'One step program after the other keeps the tolerance, but the station stores fewer of them.',
    remedy: 'Change over by hand at the shots named, stop earlier, or use the best program that the station holds.',
  },
} as const satisfies Record<string, CodeText>;

export type DeliveryCode = keyof typeof deliveryCodes;

/** A finding of one of these codes; `help` says something more to the point than the remedy where it can. */
export function deliveryFinding(code: DeliveryCode, path: string | null, message: string, help?: string): Finding {
  const text = deliveryCodes[code];
  return finding(text.severity, code, path, message, help ?? text.remedy);
}
