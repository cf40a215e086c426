import { paragraph } from './paragraph.ts';
import type { View } from './view.ts';

/** What stands above the results of a recipe: its name with its file, or the file alone. */
export function recipeTitle(name: string | null, file: string, { style, columns }: View): string {
  if (name === null) return file;
  const apart = `${name} (${file})`.length <= columns ? ' ' : '\n';
  return `${style.strong(paragraph(name, columns))}${apart}(${file})`;
}
