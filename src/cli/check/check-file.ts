import { type LoadOptions, loadRecipe } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { MOST_BYTES } from '../../recipe/yaml/source-file.ts';
import { withFile } from '../recipes/find-recipes.ts';
import { hasRecipeKey } from '../recipes/has-recipe-key.ts';
import { type CheckedData, checkedRecipe } from './check-recipe.ts';

/** What `check` says about a YAML file of a folder; null when it is no recipe but a part. Throws what the system throws. */
export async function checkFile(file: string, files: FileSystem, options: LoadOptions): Promise<CheckedData | null> {
  const bytes = files.readBytes(file, MOST_BYTES + 1);
  return hasRecipeKey(bytes)
    ? checkedRecipe(await loadRecipe(file, withFile(files, file, bytes), options), true)
    : null;
}
