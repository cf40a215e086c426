import { distinctBy } from '../../diagnostics/distinct.ts';
import { byPosition, type Diagnostic } from '../../diagnostics/finding.ts';
import { messageKind } from '../../diagnostics/repeated.ts';

/** A recipe that a finding of a part was found with. */
export interface FoundWith {
  readonly file: string;
  /** What is true of this recipe alone: what follows for it, or its own numbers; null where the finding says it all. */
  readonly says: string | null;
}

/** A finding with the recipes it was found with, in order; none where it stands in the recipe itself. */
export type OfRecipes<T> = T & { readonly recipes: readonly FoundWith[] };

/** Diagnostics in order of place, each once. */
export function distinctDiagnostics<T extends Diagnostic>(diagnostics: readonly T[]): T[] {
  return distinctBy([...diagnostics].sort(byPosition), keyOf);
}

/**
 * Diagnostics of several recipes in order of place, one for each cause: what is wrong with a part, or has changed in it, is
 * found again with every recipe that starts from it, where the numbers may be others.
 */
export function distinctOfRecipes<C extends { readonly file: string }, T extends Diagnostic>(
  checked: readonly C[],
  of: (one: C) => readonly T[],
): OfRecipes<T>[] {
  const found = new Map<string, { readonly d: T; readonly recipes: FoundWith[] }>();
  for (const one of checked) {
    const counts = new Map<string, number>();
    for (const d of of(one)) {
      const own = d.file === one.file;
      // Within one recipe two of a kind are two causes.
      const kind = own ? keyOf(d) : causeOf(d);
      const count = (counts.get(kind) ?? 0) + 1;
      counts.set(kind, count);
      const key = own ? kind : `${kind} ${count}`;
      const known = found.get(key) ?? { d, recipes: [] };
      const says = d.effect ?? (d.message === known.d.message ? null : d.message);
      if (!own && known.recipes.at(-1)?.file !== one.file) known.recipes.push({ file: one.file, says });
      found.set(key, known);
    }
  }
  return [...found.values()].map(({ d, recipes }) => ({ ...d, recipes })).sort(byPosition);
}

type Reasoned = Diagnostic & { readonly reason?: string | null };

/** What one recipe silences, another may not. */
function keyOf(d: Reasoned): string {
  return JSON.stringify([d.code, d.file, d.line, d.column, d.path, d.message, d.effect, d.reason ?? null]);
}

/** Of a part the place counts, and what is said but for numbers. */
function causeOf(d: Reasoned): string {
  const message = d.effect === undefined ? messageKind(d.message) : d.message;
  return JSON.stringify([d.code, d.file, d.line, d.column, d.path, message, d.reason ?? null]);
}
