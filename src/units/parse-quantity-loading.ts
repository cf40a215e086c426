import { loadEngine } from './engine.ts';
import { parseQuantity, type QuantityResult } from './parse-quantity.ts';
import type { QuantityKind } from './quantity-kind.ts';

/** As `parseQuantity`, but loads the expression engine when the text needs it. For flags and cells. */
export async function parseQuantityLoading(text: string, kind: QuantityKind): Promise<QuantityResult> {
  const result = parseQuantity(text, kind);
  if (result.ok || result.code !== 'engine-needed') return result;
  await loadEngine();
  return parseQuantity(text, kind);
}
