import type { Recipe } from '../schema/recipe.ts';

/** What does not enter a computation: names, remarks, positions, and what is only shown. */
export const DIGEST_LEAVES_OUT: ReadonlySet<string> = new Set([
  'name',
  'notes',
  'part',
  'path',
  'source',
  'surface',
  'display',
  'silence',
  'date',
  'data',
  'digest',
]);

/** SHA-256 [hex] of the checked inputs of a recipe, in SI with keys sorted: the same for two recipes that compute the same. */
export function recipeDigest(recipe: Recipe): string {
  return sha256(JSON.stringify(canonical(recipe)));
}

/** SHA-256 [hex] of a text. */
export function sha256(text: string): string {
  // Not imported: that alone would be a tenth of what a run costs that never asks for a digest.
  return process.getBuiltinModule('node:crypto').createHash('sha256').update(text, 'utf8').digest('hex');
}

function canonical(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(canonical);
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value)
    .filter(([key, v]) => v !== undefined && !DIGEST_LEAVES_OUT.has(key))
    .sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
  return Object.fromEntries(entries.map(([key, v]) => [key, canonical(v)]));
}
