import { type ResultChange, resultChangeText } from '../../analysis/changes/result-changes.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { View } from '../words/view.ts';

export interface FreezeResult {
  readonly lock: string;
  /** The recipes of the call; a broken one is not among them, and keeps the entry it had. */
  readonly frozen: readonly {
    readonly recipe: string;
    readonly name: string | null;
    readonly state: 'new' | 'moved' | 'same';
    readonly moved: readonly ResultChange[];
  }[];
  /** Entries of recipes that the call did not name. */
  readonly kept: number;
  /** Entries removed because their recipe is gone. */
  readonly pruned: readonly string[];
}

/** Each recipe with what moved, then what became of the lock file. */
export function renderFreeze(result: FreezeResult, view: View): string {
  const lines = result.frozen.flatMap(({ recipe, state, moved }) => [
    `${view.style.strong(recipe)}: ${WORDS[state]}`,
    ...moved.map(change => `  ${resultChangeText(change)}`),
  ]);
  const pruned = result.pruned.map(recipe => `${view.style.strong(recipe)}: gone, removed`);
  const kept = result.kept === 0 ? '' : `, ${result.kept} kept as they were`;
  const count = `${counted(result.frozen.length, 'recipe')} frozen${kept}: ${result.lock}`;
  return [...lines, ...pruned, count].join('\n');
}

const WORDS = { new: 'new', moved: 'results moved', same: 'as it was' } as const;
