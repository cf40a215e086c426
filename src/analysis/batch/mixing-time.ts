import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inMinutes } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';

/** What a kit keeps somebody busy for where the recipe does not say [s]; ours, no source. */
const USUAL = 300;

/** How long somebody is busy with a kit from the moment that its age counts from [s]; by default over before its first shot. */
export function mixingTime({ process }: Recipe): number {
  return process?.mixing?.value ?? Math.min(USUAL, process?.ready_after.value ?? 0);
}

/** A kit that is shot before it is mixed. */
export function mixingFindings(recipe: Recipe): Finding[] {
  const { mixing, ready_after: ready } = recipe.process ?? {};
  if (mixing === undefined || ready === undefined || mixing.value <= ready.value) return [];
  const message = `mixing takes ${inMinutes(mixing.value)}, and the first shot is made ${inMinutes(ready.value)} after it begins`;
  return [batchFinding('batch-option', mixing.path, message, 'write a later `ready_after` or a shorter `mixing`')];
}
