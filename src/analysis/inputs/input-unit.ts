/** The unit in which an input is shown. */
export interface InputUnit {
  readonly name: string;
  /** One of it [SI]. */
  readonly size: number;
}

const unit = (name: string, size: number): InputUnit => ({ name, size });
const MILLIMETRE = unit('mm', 1e-3);
const KILOPASCAL = unit('kPa', 1e3);
const SECOND = unit('s', 1);
const KELVIN = unit('K', 1);
const VISCOSITY = unit('Pa.s', 1);
const PLAIN = unit('1', 1);
const RATE = unit('1/s', 1);
const PER_CENT = unit('%', 0.01);
const DEGREE = unit('deg', Math.PI / 180);

/** First match wins; the last key of the path decides where its block does not. */
const UNITS: readonly (readonly [RegExp, InputUnit])[] = [
  [/^process\.(?:temperature\.profile|oven)\[\d+\]\[0\]$/, SECOND],
  [/temperature|^process\.cup\.rise$|^process\.oven|^resin\.glass\.(?!lambda)/, KELVIN],
  [/^resin\.rheology\.(points\[\d+\]\[0\]|measured\[\d\])$/, RATE],
  [/^resin\.rheology\.points/, VISCOSITY],
  [/^resin\.cure\.points\[\d+\]\[0\]$/, SECOND],
  [/contact_angle$/, DEGREE],
  [/yield_stress$/, unit('Pa', 1)],
  [/activation_energy$|\.E\d$/, unit('kJ/mol', 1e3)],
  [/\.K$/, unit('Pa.s^n', 1)],
  [/viscosity$|\.zero$|\.infinity$/, VISCOSITY],
  [/rate$|\.A\d$/, RATE],
  [/conductance$/, unit('dm^3/(s.bar)', 1e-8)],
  [/syringe\.(barrel|fill|left_over)$/, unit('mL', 1e-6)],
  [
    /^station\.dwell|dwell|jitter$|time$|\.(rise|fall|delay|add|first)$|add_step$|ready_after$|read_after$|takt$|\.age$/,
    SECOND,
  ],
  [
    /^station\.pressure|^station\.rating|^station\.hold_back|pressure|friction$|offset$|atmosphere$|vent_to$/,
    KILOPASCAL,
  ],
  [/allowance$|^process\.tolerance$|^resin\.mix\.tolerance$|^resin\.shrinkage$/, PER_CENT],
  [/^resin\.density$/, unit('g/mL', 1e3)],
  [/surface_tension$/, unit('mN/m', 1e-3)],
  [/^process\.cup\.wall$/, unit('W/(m^2.K)', 1)],
  [/^resin\.heat_of_reaction$/, unit('J/g', 1e3)],
  [/^resin\.heat_capacity$/, unit('J/(g.K)', 1e3)],
  [/^resin\.conductivity$/, unit('W/(m.K)', 1)],
  [/^resin\.mix\.(base|hardener)_density$/, unit('g/mL', 1e3)],
  [/^resin\.mix\.(base|hardener)$|^station\.scale$/, unit('g', 1e-3)],
  [/\.mass$/, unit('mg', 1e-6)],
  [/^connector\.|^needle\.|diameter|reading_error$|hose\.length$/, MILLIMETRE],
];

/** The unit in which an input and the sensitivity to it are given: that in which the trade speaks of such a key. */
export function inputUnit(path: string): InputUnit {
  return UNITS.find(([pattern]) => pattern.test(path))?.[1] ?? PLAIN;
}
