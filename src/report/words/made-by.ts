import { paragraph } from './paragraph.ts';
import type { View } from './view.ts';

/** How a result came about: the models that gave it, and what the recipe leaves to defaults. */
export function madeBy(models: readonly string[], defaults: readonly string[], view: View): string {
  const lines: string[] = [];
  if (models.length > 0) lines.push(paragraph(`Models: ${models.join('; ')}.`, view.columns));
  if (defaults.length > 0) lines.push(paragraph(`Taken by default: ${defaults.join('; ')}.`, view.columns));
  return lines.join('\n');
}
