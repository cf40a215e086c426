import type { RheologyBlock } from '../../recipe/schema/recipe.ts';
import type { FittedModel } from './fit-model.ts';

/** A value as a recipe writes it: a text with its unit, or a plain number. */
export type BlockValue = string | number | readonly [string, string] | readonly (readonly [string, string])[];
/** A block of a recipe, keys as in the file. */
export type FittedBlock = Readonly<Record<string, BlockValue>>;

/** Digits that no measurement outdoes. */
const DIGITS = 5;

/** The unit in which a fit shows a parameter, by the end of its name, and how a recipe writes it. */
const UNIT_ENDINGS: readonly (readonly [string, string])[] = [
  ['_Pa_s_n', 'Pa.s^n'],
  ['_Pa_s', 'Pa.s'],
  ['_Pa', 'Pa'],
  ['_kJ_per_mol', 'kJ/mol'],
  ['_per_s', '1/s'],
  ['_min', 'min'],
  ['_s', 's'],
];

/**
 * The rheology of a recipe that a model fitted to a flow curve stands for, with the shear rates [1/s] that the curve was measured between,
 * which the points of a table say themselves; null where the model could not be fitted.
 */
export function rheologyBlock(model: FittedModel, measured: readonly [number, number]): FittedBlock | null {
  if (!model.converged || model.parameters.length === 0) return null;
  if (model.name === 'table') return { model: 'table', points: model.parameters.map(pointOf) };
  const [from, to] = measured.map(rate => `${Number(rate.toPrecision(DIGITS))} 1/s`);
  // a curve measured at one shear rate has no range
  const range: FittedBlock = measured[0] < measured[1] ? { measured: [from!, to!] } : {};
  return { model: model.name, ...Object.fromEntries(model.parameters.map(keyAndValue)), ...range };
}

/** A fitted flow model as it would stand in a recipe, with its estimates as they are; null where it could not be fitted. */
export function fittedRheology(model: FittedModel): RheologyBlock | null {
  if (!model.converged || model.parameters.length === 0 || model.name === 'table') return null;
  const values = model.parameters.map(({ name, estimate }) => {
    const key = name.slice(0, name.length - endingOf(name)[0].length);
    return [key, { value: estimate, path: `resin.rheology.${key}`, source: 'default' }] as const;
  });
  return { model: model.name, ...Object.fromEntries(values) } as unknown as RheologyBlock;
}

/** The name of a point of a table holds its shear rate: the first number in it. */
function pointOf({ name, estimate }: FittedModel['parameters'][number]): readonly [string, string] {
  const [rate = ''] = /\d+(?:\.\d+)?(?:e[-+]?\d+)?/.exec(name) ?? [];
  return [`${rate} 1/s`, valueText(estimate, 'Pa.s') as string];
}

/** The cure of a recipe that a model fitted to a cure curve stands for; null where the model could not be fitted. */
export function cureBlock(model: FittedModel): FittedBlock | null {
  if (!model.converged || model.parameters.length === 0) return null;
  // A viscosity at age zero and its activation energy belong to the rheology, which a cure curve does not fit.
  const own = model.parameters.filter(({ name }) => !name.startsWith('viscosity_'));
  // A pot life measured at one temperature has no activation energy of its own.
  const told = own.filter(p => !(model.name === 'pot-life' && p.fixed && p.estimate === 0));
  return { model: model.name, ...Object.fromEntries(told.map(keyAndValue)) };
}

function endingOf(name: string): readonly [ending: string, unit: string | undefined] {
  return UNIT_ENDINGS.find(([end]) => name.endsWith(end)) ?? ['', undefined];
}

function keyAndValue({ name, estimate }: FittedModel['parameters'][number]): readonly [string, BlockValue] {
  const [ending, unit] = endingOf(name);
  return [name.slice(0, name.length - ending.length), valueText(estimate, unit)];
}

function valueText(value: number, unit: string | undefined): BlockValue {
  const rounded = Number(value.toPrecision(DIGITS));
  return unit === undefined ? rounded : `${rounded} ${unit}`;
}
