import { choice } from '../../diagnostics/suggestion.ts';
import type { About } from '../schema/field.ts';
import { RECIPE_FIELDS } from '../schema/recipe-schema.ts';
import { scalarText } from '../yaml/yaml-values.ts';
import type { BlockName } from './recipe-keys.ts';

/** What a starter recipe is made from; what is left out gets a value to be replaced. */
export interface StarterOptions {
  readonly name: string;
  /** Where editors find the JSON Schema, as seen from the recipe. */
  readonly schema: string;
  /** Files that blocks start from, as seen from the recipe. */
  readonly parts: Readonly<Partial<Record<BlockName, string>>>;
  /** Values by path, as they are to be written. */
  readonly values: Readonly<Record<string, string>>;
}

/**
 * One line of a block: key, value to be replaced, what it is. Lines that start with a dash are items of the list above. A key
 * without value and comment has those of the format: its default and the words that will do.
 */
type Line = readonly [text: string, value?: string | null, comment?: string];

const BLOCK_LINES: readonly (readonly [BlockName, string, readonly Line[]])[] = [
  [
    'connector',
    'drawing of the connector and of the prepared cable',
    [
      ['cavity:', null, 'from the end face backwards; the first is the fibre bore'],
      ['  - {part: bore, diameter: 126 ± 0.5 um, length: 5.5 ± 0.1 mm}', null],
      ['  - {part: lead-in, diameter: [126 um, 0.9 mm], length: 0.6 mm}', null, 'a cone: front, rear'],
      ['  - {part: tube, diameter: 1.1 ± 0.01 mm, length: 8 mm}', null],
      ['face', '1.1 mm', 'diameter of the polished flat, inside the chamfer'],
      ['cable:', null, 'from the tip of the fibre backwards'],
      ['  - {part: fibre, diameter: 125 ± 0.7 um, length: 9.6 ± 0.25 mm}', null],
      ['  - {part: coating, diameter: 245 ± 5 um, length: 1 ± 0.25 mm}', null],
      ['  - {part: buffer, diameter: 0.9 ± 0.05 mm, length: 20 mm}', null],
      ['protrusion', '3 mm', 'bare fibre in front of the end face, to be scribed'],
      ['bead: {diameter: 0.5 mm, contact_angle: 60 deg}', null, 'wanted on the end face after the bore shot'],
      ['reach: {min: 7.5 mm, max: 13.5 mm}', null, 'how far back the epoxy may stand once the cable is in'],
      ['allowance', '3 %', 'of the backfill, lost on the needle and wiped off'],
    ],
  ],
  [
    'needle',
    '`dwellbook needles` lists gauges; a bore of your own goes into `bore` and `outside`',
    [['gauge', '22'], ['wall'], ['length', '12.7 mm']],
  ],
  [
    'resin',
    "the resin's data sheet, and the certificate of the lot",
    [
      ['density', '1.15 g/mL'],
      ['surface_tension', '42 mN/m'],
      ['rheology', '{model: newtonian, viscosity: 2.4 Pa.s ± 15 %}', 'mixed, at the reference temperature'],
      ['reference_temperature', '25 degC'],
      ['activation_energy', '85 kJ/mol', 'of the viscosity'],
      [
        'cure',
        '{model: pot-life, time: 60 min, factor: 2, activation_energy: 60 kJ/mol}',
        'the factor is what the data sheet means by pot life',
      ],
      ['dot', '{contact_angle: 32 deg, read_after: 60 s}', 'better: weighed dots as `calibration`'],
      ['# mix: {base: 100 g, hardener: 10 g, tolerance: 5 %}', null, 'for `mix` and `batch`, with `station.scale`'],
      [
        '# glass: {uncured: -20 degC, cured: 120 degC, lambda: 0.4, required: 85 degC}',
        null,
        'for `oven`, with a cure by kinetics',
      ],
    ],
  ],
  [
    'station',
    'limits and resolution of the dispensing station, pressures gauge',
    [
      ['pressure', '{min: 10 kPa, max: 550 kPa, step: 1 kPa, accuracy: 2 kPa}'],
      ['dwell', '{min: 0.05 s, max: 99 s, step: 0.01 s, jitter: 0.003 s}'],
      ['rating', '100 psi', 'the lowest rating in the air line: regulator, hose, barrel'],
      ['air', '{model: ideal}', 'or first-order, iso6358'],
      ['hold_back', '{max: 5 kPa}'],
      ['syringe', '{barrel: 3 mL, inside_diameter: 9.5 mm, fill: 0.55 mL, left_over: 0.3 mL, plunger_friction: 3 kPa}'],
      ['ramp', '{add_step: 0.01 s, stages: 1}', 'the step programs that the station stores'],
      ['# scale: 0.01 g', null, 'half-width of one net weighing of a kit'],
    ],
  ],
  [
    'process',
    'how the line works',
    [
      ['temperature', '23 ± 2 degC', 'of the resin in the syringe'],
      ['takt', '40 s', 'from one connector to the next'],
      ['ready_after', '12 min', 'from mixing to the first production shot'],
      ['tolerance', '10 %', 'on the shot volume'],
      ['stop_at', '{viscosity_factor: 2}', 'when the syringe is thrown away'],
      ['bore_shot'],
      ['prime', undefined, 'shots to waste with a new needle'],
      ['# oven: [[0 min, 23 degC], [8 min, 90 degC], [60 min, 90 degC], [75 min, 30 degC]]', null, 'for `oven`'],
      [
        '# cup: {diameter: 40 mm, wall: 10 W/(m^2.K)}',
        null,
        'of the kit, for its heat; a cure by kinetics and `heat_of_reaction` go with it',
      ],
    ],
  ],
];

/**
 * A commented recipe to start from. Blocks that have a part start `from` it and carry only the values that were asked for;
 * the others hold values of a made-up connector, each to be replaced.
 */
export function starterRecipe({ name, schema, parts, values }: StarterOptions): string {
  const blocks = BLOCK_LINES.map(([block, source, lines]) => {
    const own = Object.entries(values).filter(([path]) => path.startsWith(`${block}.`));
    const part = parts[block];
    return part === undefined ? fullBlock(block, source, lines, own) : partBlock(block, part, own);
  });
  return `# yaml-language-server: $schema=${schema}
recipe: 1
name: ${scalarText(name)}
# Every value is to be replaced by yours, with its unit; a tolerance goes after ±.
# Results are starting points: prove them on scrap connectors. Data sheets, manuals and local codes come first.

${blocks.join('\n')}
${parts.settings === undefined ? SETTINGS : `settings:\n  from: ${scalarText(parts.settings)}\n`}`;
}

const SETTINGS = `# settings:                # what is released for production; \`dwellbook setpoint --write\` fills it in
#   pressure: 210 kPa
#   dwell: 0.52 s
`;

type Own = readonly (readonly [path: string, value: string])[];

function partBlock(block: BlockName, part: string, own: Own): string {
  const lines = [`${block}:`, `  from: ${scalarText(part)}`, ...ownLines(block, own)];
  return `${lines.join('\n')}\n`;
}

function fullBlock(block: BlockName, source: string, lines: readonly Line[], own: Own): string {
  const given = new Map(own.map(([path, value]) => [path.slice(block.length + 1).split('.')[0]!, value]));
  const body = lines.map(([text, value, comment]) => {
    if (value === null) return commented(`  ${text}`, comment);
    // A value of the call needs no word about being replaced.
    if (given.has(text)) return `  ${text}: ${ownText(block, text, own)}`;
    const { default: usual, words } = aboutKey(block, text);
    return commented(`  ${text}: ${value ?? usual}`, comment ?? (words && choice(words)));
  });
  const missing = own.filter(([path]) => !lines.some(([text]) => path.split('.')[1] === text));
  return `${[commented(`${block}:`, source), ...body, ...ownLines(block, missing)].join('\n')}\n`;
}

function aboutKey(block: BlockName, key: string): About {
  return RECIPE_FIELDS[block].about.fields?.[key]?.about ?? { is: '' };
}

function ownLines(block: BlockName, own: Own): string[] {
  const keys = [...new Set(own.map(([path]) => path.split('.')[1]!))];
  return keys.map(key => `  ${key}: ${ownText(block, key, own)}`);
}

/** The value of a key, or the mapping of what lies below it. */
function ownText(block: BlockName, key: string, own: Own): string {
  const direct = own.find(([path]) => path === `${block}.${key}`);
  if (direct !== undefined) return plainOrScalar(direct[1]);
  const prefix = `${block}.${key}.`;
  const below = own.filter(([path]) => path.startsWith(prefix));
  return `{${below.map(([path, value]) => `${path.slice(prefix.length)}: ${plainOrScalar(value)}`).join(', ')}}`;
}

/** A whole number stays one: the gauge of a needle, the shots of a prime. */
function plainOrScalar(value: string): string {
  return /^\d+$/.test(value) ? value : scalarText(value);
}

function commented(line: string, comment: string | undefined): string {
  return comment === undefined ? line : `${line} # ${comment}`;
}
