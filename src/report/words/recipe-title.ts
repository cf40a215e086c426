import type { Style } from './style.ts';

/** What stands above the results of a recipe: its name with its file, or the file alone. */
export function recipeTitle(name: string | null, file: string, style: Style): string {
  return name === null ? file : `${style.strong(name)} (${file})`;
}
