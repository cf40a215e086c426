import { beyondNumbers } from '../../analysis/delivery/beyond-numbers.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { EXIT, failureOf } from '../terminal/exit-status.ts';

/**
 * The finding for what was thrown while one recipe was computed: a flow beyond all numbers; or, where it is one of
 * `several`, a fault of ours, so that the others are still done. Throws everything else on: wrong usage, a file, and the
 * fault of a recipe that stands alone, of which `--trace` then shows where it is.
 */
export function findingOfThrown(thrown: unknown, several: boolean): Finding {
  const found = beyondNumbers(thrown);
  if (found !== null) return found;
  if (!several || failureOf(thrown).status !== EXIT.fault) throw thrown;
  const what = thrown instanceof Error ? thrown.message || thrown.name : String(thrown);
  return deliveryFinding('not-computed', null, `a fault in dwellbook keeps this recipe from being computed: ${what}`);
}
