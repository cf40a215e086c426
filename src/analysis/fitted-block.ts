import type { FittedModel } from './fit-model.ts';

/** A value as a recipe writes it: a text with its unit, or a plain number. */
export type BlockValue = string | number | readonly (readonly [string, string])[];
/** A block of a recipe, keys as in the file. */
export type FittedBlock = Readonly<Record<string, BlockValue>>;

/** Digits that no measurement outdoes. */
const DIGITS = 5;

/** The rheology of a recipe that a model fitted to a flow curve stands for; null where the model could not be fitted. */
export function rheologyBlock(model: FittedModel): FittedBlock | null {
  if (!model.converged || model.parameters.length === 0) return null;
  if (model.name === 'table') return { model: 'table', points: model.parameters.map(pointOf) };
  const values = model.parameters.map(({ name, estimate }) => {
    const [, key = name, unit] = /^(\S+?)(?: \[(.+)\])?$/.exec(name) ?? [];
    return [key, valueText(estimate, unit)] as const;
  });
  return { model: model.name, ...Object.fromEntries(values) };
}

/** `viscosity at 0.1 1/s [Pa.s]` is the point of a table. */
function pointOf({ name, estimate }: FittedModel['parameters'][number]): readonly [string, string] {
  const [, rate = ''] = /^viscosity at (\S+) 1\/s/.exec(name) ?? [];
  return [`${rate} 1/s`, String(valueText(estimate, 'Pa.s'))];
}

const UNIT_ENDINGS: readonly (readonly [string, string])[] = [
  ['_kJ_per_mol', 'kJ/mol'],
  ['_per_s', '1/s'],
  ['_min', 'min'],
];

/** The cure of a recipe that a model fitted to a cure curve stands for; null where the model could not be fitted. */
export function cureBlock(model: FittedModel): FittedBlock | null {
  if (!model.converged || model.parameters.length === 0) return null;
  // A viscosity at age zero belongs to the rheology, which a cure curve does not fit.
  const own = model.parameters.filter(({ name }) => !name.includes(' '));
  const values = own.flatMap(({ name, estimate, fixed }) => {
    const [ending, unit] = UNIT_ENDINGS.find(([end]) => name.endsWith(end)) ?? ['', undefined];
    const key = name.slice(0, name.length - ending.length);
    // A pot life measured at one temperature has no activation energy of its own.
    if (model.name === 'pot-life' && key === 'activation_energy' && fixed && estimate === 0) return [];
    return [[key, valueText(estimate, unit)] as const];
  });
  return { model: model.name, ...Object.fromEntries(values) };
}

function valueText(value: number, unit: string | undefined): BlockValue {
  const rounded = Number(value.toPrecision(DIGITS));
  return unit === undefined ? rounded : `${rounded} ${unit}`;
}
