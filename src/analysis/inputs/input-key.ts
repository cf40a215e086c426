import type { Quantity } from '../../recipe/schema/recipe.ts';

/**
 * What a quantity moves with: leaves with one source are one dimension (a YAML alias, or one part used twice); defaults have
 * no place in the text and stand each for itself, and so do shares, which may be of a pressure or of a dwell.
 */
export function inputKey(quantity: Quantity): string {
  return quantity.source === 'default' || 'relative' in quantity ? quantity.path : quantity.source;
}

export function isQuantity(node: object): node is Quantity {
  return 'value' in node && 'path' in node && 'source' in node;
}

/** Visits every quantity of a recipe, in the order of its keys. */
export function visitQuantities(node: unknown, visit: (quantity: Quantity) => void): void {
  if (typeof node !== 'object' || node === null) return;
  if (isQuantity(node)) visit(node);
  else if (Array.isArray(node)) for (const item of node) visitQuantities(item, visit);
  else for (const key in node) visitQuantities((node as Record<string, unknown>)[key], visit);
}
