/** A recipe that is sound under every rule; kept here so that the demo may change. */
export const WHOLE = `recipe: 1
name: Tide-gauge pigtail
connector:
  cavity: # from the end face backwards
    - {part: bore, diameter: 126 ± 0.5 um, length: 5.5 mm}
    - {part: lead-in, diameter: [126 um, 0.9 mm], length: 0.6 mm}
    - {part: tube, diameter: 1.1 mm, length: 7 mm}
  face: 1.25 mm
  cable: # from the tip of the fibre backwards
    - {part: fibre, diameter: 125 ± 0.7 um, length: 6.6 mm}
    - {part: coating, diameter: 245 um, length: 1 mm}
    - {part: buffer, diameter: 0.9 mm, length: 20 mm}
  protrusion: 1 mm
  bead: {diameter: 0.5 mm, contact_angle: 60 deg}
  reach: {min: 9 mm, max: 12.5 mm}
  allowance: 3 %
needle:
  gauge: 22
  wall: regular
  length: 12.7 mm
resin:
  name: Amber 40
  density: 1.15 g/mL
  surface_tension: 42 mN/m
  rheology: {model: newtonian, viscosity: 2.4 Pa.s ± 15 %}
  reference_temperature: 25 degC
  activation_energy: 60 kJ/mol
  cure: {model: pot-life, time: 60 min, factor: 2, activation_energy: 60 kJ/mol}
  dot: {contact_angle: 32 deg, read_after: 20 s, surface: glass slide over the sheet}
station:
  pressure: {min: 10 kPa, max: 550 kPa, step: 1 kPa, accuracy: 2 kPa}
  dwell: {min: 0.05 s, max: 99 s, step: 0.01 s, jitter: 0.003 s}
  rating: 100 psi
  air: {model: ideal}
  hold_back: {max: 5 kPa}
  syringe: {barrel: 3 mL, inside_diameter: 9.5 mm, fill: 0.5 mL, left_over: 0.3 mL, plunger_friction: 3 kPa}
  ramp: {add_step: 0.01 s, stages: 1}
process:
  temperature: 23 ± 2 degC
  takt: 40 s
  ready_after: 12 min
  tolerance: 10 %
  stop_at: {viscosity_factor: 2}
  bore_shot: by_sight
  prime: 3
settings:
  pressure: 210 kPa
  dwell: 0.52 s
  ramp: {add: 0.03 s, every: 7}
`;

/** The resin of that recipe as a part of its own. */
export const RESIN_PART = `name: Amber 40
density: 1.15 g/mL
surface_tension: 42 mN/m
rheology: {model: newtonian, viscosity: 2.4 Pa.s ± 15 %}
reference_temperature: 25 degC
activation_energy: 60 kJ/mol
cure: {model: pot-life, time: 60 min, factor: 2, activation_energy: 60 kJ/mol}
dot: {contact_angle: 32 deg, read_after: 20 s}
`;

/** The same with its resin from a part. */
export const FROM_PART = withResin('resin: {from: parts/amber.yaml}\n');

function withResin(block: string): string {
  const from = WHOLE.search(/^resin:/m);
  const to = WHOLE.search(/^station:/m);
  return WHOLE.slice(0, from) + block + WHOLE.slice(to);
}
