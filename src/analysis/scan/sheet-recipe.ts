import { scanFinding } from '../../diagnostics/codes/scan-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { gauge } from '../dot/gauge.ts';
import type { SheetCode } from '../sheet/sheet-code.ts';

/** A recipe, and the digest of its inputs in hexadecimal. */
export interface OwnRecipe {
  readonly recipe: Recipe;
  readonly digest: string;
}

/** Rings this near are the same [mm]; the code carries them to a micrometre. */
const SAME = 0.002;

/** What speaks against a sheet being that of a recipe: nothing, a digest of before, or another recipe. */
export function sheetRecipeFindings(code: SheetCode, { recipe, digest }: OwnRecipe): Finding[] {
  if (digest.toLowerCase().startsWith(code.digest)) return [];
  const own = gauge(recipe, { paper: code.paper, shots: code.shots }).result;
  const same = own?.rings.every((ring, i) => Math.abs(ring.diameter_mm - code.rings[i]!) <= SAME);
  const digests = `the sheet carries ${code.digest}, the recipe is ${digest.slice(0, 16)}`;
  return [scanFinding(same ? 'scan-older-sheet' : 'scan-other-recipe', null, digests)];
}
