import type { Written } from './field.ts';

/** A key that the recipe leaves out, and what it is taken to be. */
export interface Taken {
  readonly path: string;
  /** As one would write it. */
  readonly written: string;
}

/** Under this a block keeps what was taken; no name, so that no digest, no comparison of inputs and no JSON sees it. */
const TAKEN = Symbol('taken by default');

interface WithTaken {
  [TAKEN]?: readonly Taken[];
}

/** Notes at a block what it takes by default. */
export function noteTaken(block: object, taken: readonly Taken[]): void {
  // Enumerable, so that a block that is changed by spreading keeps it.
  if (taken.length > 0) (block as WithTaken)[TAKEN] = taken;
}

/** What a block and the blocks in it take by default, in the order of the format. */
export function takenOf(block: object | undefined): readonly Taken[] {
  if (block === undefined) return [];
  const inner = Object.values(block).filter(
    value => typeof value === 'object' && value !== null && !Array.isArray(value),
  );
  return [...((block as WithTaken)[TAKEN] ?? []), ...inner.flatMap(takenOf)];
}

/** A default in words: `0.2 s to 4 s`, `ideal`; null for a block that has nothing but defaults of its own. */
export function writtenText(value: Written): string | null {
  if (Array.isArray(value)) return value.map(String).join(' to ');
  if (typeof value === 'object') return Object.values(value).map(String).join(' ') || null;
  return String(value);
}
