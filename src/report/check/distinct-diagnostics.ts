import { distinctBy } from '../../diagnostics/distinct.ts';
import { byPosition, type Diagnostic } from '../../diagnostics/finding.ts';

/** A finding with the recipes it was found with, in order; none where it stands in the recipe itself. */
export type OfRecipes<T> = T & { readonly recipes: readonly string[] };

/** Diagnostics in order of place, each once. */
export function distinctDiagnostics<T extends Diagnostic>(diagnostics: readonly T[]): T[] {
  return distinctBy([...diagnostics].sort(byPosition), keyOf);
}

/**
 * Diagnostics of several recipes in order of place, each once: what is wrong with a part is found again with every
 * recipe that starts from it, and what a recipe makes of a part is known by the recipe alone.
 */
export function distinctOfRecipes<C extends { readonly file: string }, T extends Diagnostic>(
  checked: readonly C[],
  of: (one: C) => readonly T[],
): OfRecipes<T>[] {
  const found = new Map<string, { readonly d: T; readonly recipes: string[] }>();
  for (const one of checked) {
    for (const d of of(one)) {
      const key = keyOf(d);
      const known = found.get(key) ?? { d, recipes: [] };
      if (d.file !== one.file && known.recipes.at(-1) !== one.file) known.recipes.push(one.file);
      found.set(key, known);
    }
  }
  return [...found.values()].map(({ d, recipes }) => ({ ...d, recipes })).sort(byPosition);
}

/** What one recipe silences, another may not. */
function keyOf(d: Diagnostic & { readonly reason?: string | null }): string {
  return JSON.stringify([d.code, d.file, d.line, d.column, d.path, d.message, d.reason ?? null]);
}
