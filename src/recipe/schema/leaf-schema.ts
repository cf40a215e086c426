import { kindFacts, QUANTITY_KINDS, type QuantityKind } from '../../units/quantity-kind.ts';
import { DISTRIBUTIONS, type LeafRule, PERS } from './leaf.ts';

export type JsonSchema = { [key: string]: unknown };

const NUMBER = String.raw`[+\-\u2212]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?`;
const UNIT = String.raw`(1/)?[A-Za-z(%\u00b0\u00b5\u03bc\u2103\u2109][^\u00b1,]*`;
const TOLERANCE = String.raw`\s*(\u00b1|\+/-)\s*`;

/** Texts that a quantity with a unit, a plain number, or an expression may be. */
const WITH_UNIT = `^\\s*(=.+|${NUMBER}\\s*${UNIT}|${NUMBER}(\\s*${UNIT})?${TOLERANCE}${NUMBER}\\s*${UNIT})\\s*$`;
const PLAIN = `^\\s*(=.+|${NUMBER}\\s*%?(${TOLERANCE}${NUMBER}\\s*%?)?)\\s*$`;

/** Stands for the JSON Schema of a quantity, which is written once among the definitions. */
export function leafSchema({ kind, deviation }: LeafRule): JsonSchema {
  return { leaf: leafName(kind, deviation === true) };
}

function leafName(kind: QuantityKind, deviation: boolean): string {
  return `${kind.replace(' ', '-')}${deviation ? '-half-width' : ''}`;
}

/** JSON Schemas of all quantities, by name. */
export function leafDefinitions(): JsonSchema {
  const all = QUANTITY_KINDS.flatMap(kind =>
    [false, true].map(deviation => [leafName(kind, deviation), definition(kind, deviation)] as const),
  );
  return Object.fromEntries(all);
}

/** It checks the notation; whether the unit measures the right thing is the loader's. */
function definition(kind: QuantityKind, deviation: boolean): JsonSchema {
  const { units } = kindFacts(kind);
  const text: JsonSchema = { type: 'string', pattern: kind === 'factor' ? PLAIN : WITH_UNIT };
  if (units.length > 0) text['examples'] = units.map(unit => `1.5 ${unit}`);
  const plain = kind === 'factor' ? [{ type: 'number' }, text] : [text];
  const properties: JsonSchema = {
    value: { anyOf: plain },
    ...(!deviation && {
      tolerance: { anyOf: [{ type: 'string' }, ...(kind === 'factor' ? [{ type: 'number' }] : [])] },
    }),
    distribution: { enum: DISTRIBUTIONS },
    coverage: { type: 'number', exclusiveMinimum: 0 },
    per: { enum: PERS },
    name: { type: 'string' },
    notes: { type: 'string' },
  };
  return { anyOf: [...plain, { type: 'object', properties, required: ['value'], additionalProperties: false }] };
}

/** JSON Schema of a pair of quantities. */
export function pairSchema(first: LeafRule, second: LeafRule): JsonSchema {
  return { type: 'array', items: [leafSchema(first), leafSchema(second)], minItems: 2, maxItems: 2 };
}
