import { jsonOf } from '../schema/json-of.ts';
import type { JsonSchema } from '../schema/leaf-schema.ts';
import { recipe } from '../schema/recipe-schema.ts';

/** Blocks that `from` may start, and the keys at their top. */
export const BLOCKS = ['connector', 'needle', 'resin', 'station', 'process', 'settings', 'calibration'] as const;
export type BlockName = (typeof BLOCKS)[number];

/** Every path of a value that a recipe may have, sorted; of a list the first item: `connector.cavity[0].diameter`. */
export function recipeKeys(): string[] {
  const found = new Set<string>();
  walk(jsonOf(recipe.schema), '', found);
  return [...found].sort();
}

function walk(schema: unknown, path: string, found: Set<string>): void {
  if (!isSchema(schema)) return;
  const choices = [...list(schema['anyOf']), ...list(schema['oneOf'])];
  for (const choice of choices) walk(choice, path, found);
  const { properties, items } = schema;
  if (isSchema(properties)) {
    for (const [key, inner] of Object.entries(properties)) walk(inner, path === '' ? key : `${path}.${key}`, found);
  }
  const first = Array.isArray(items) ? items[0] : items;
  if (first !== undefined) walk(first, `${path}[0]`, found);
  // Somewhere to stop: a value, or a list of which nothing more is known.
  if (choices.length === 0 && !isSchema(properties) && first === undefined && path !== '') found.add(path);
}

/** The block that a part with these keys belongs to, or null: the one that knows most of them, if it knows any alone. */
export function blockOfKeys(keys: readonly string[]): BlockName | null {
  const { properties } = jsonOf(recipe.schema);
  const counts = BLOCKS.map(block => {
    const known = new Set<string>();
    keysOf((properties as JsonSchema)[block], known);
    return { block, count: keys.filter(key => known.has(key) && key !== 'name' && key !== 'notes').length };
  });
  const most = Math.max(...counts.map(({ count }) => count));
  const best = counts.filter(({ count }) => count === most);
  return most > 0 && best.length === 1 ? best[0]!.block : null;
}

function keysOf(schema: unknown, known: Set<string>): void {
  if (!isSchema(schema)) return;
  for (const choice of [...list(schema['anyOf']), ...list(schema['oneOf'])]) keysOf(choice, known);
  if (isSchema(schema['properties'])) for (const key of Object.keys(schema['properties'])) known.add(key);
}

function list(value: unknown): unknown[] {
  return Array.isArray(value) ? value : [];
}

function isSchema(value: unknown): value is JsonSchema {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
