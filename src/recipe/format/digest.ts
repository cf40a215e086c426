import type { Recipe } from '../schema/recipe.ts';
import { displayPressure } from '../schema/station-schema.ts';

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

/**
 * SHA-256 [hex] of the checked inputs of a recipe, in SI with keys sorted: the same for two recipes that compute the same. Of what
 * `station.display` says, the unit of pressure is an input: in it the setpoint takes a round number. Without one that is kPa.
 */
export function recipeDigest(recipe: Recipe): string {
  const { name: unit } = displayPressure(recipe.station);
  const inputs = canonical(recipe);
  return sha256(JSON.stringify(unit === 'kPa' ? inputs : [inputs, unit]));
}

/** SHA-256 [hex] of a resin, its name included: what may be mixed in one pot. Null without one. */
export function resinDigest({ resin }: Recipe): string | null {
  return resin === undefined ? null : sha256(JSON.stringify([resin.name ?? null, canonical(resin)]));
}

/** Keys of two blocks that do not compute the same, the names of the blocks among them; in the order of the first. */
export function unlikeKeys(a: object, b: object): string[] {
  const text = (block: object, key: string) => {
    const value = (block as Record<string, unknown>)[key];
    return JSON.stringify(key === 'name' ? (value ?? null) : (canonical(value) ?? null));
  };
  const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...keys].filter(key => (key === 'name' || !DIGEST_LEAVES_OUT.has(key)) && text(a, key) !== text(b, key));
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
