import type { SoundBlocks } from '../parts/load-cache.ts';
import { withoutNulls } from '../parts/resolve-parts.ts';
import { type RawIssue, runSchema } from '../schema/fields.ts';
import { DECLINED, keyReaders, quickReader } from '../schema/quick-read.ts';
import type { Recipe } from '../schema/recipe.ts';
import { type RecipeData, recipeSchema } from '../schema/recipe-schema.ts';
import type { Plain, PlainMap } from '../yaml/plain-data.ts';
import type { PlacedBlock } from '../yaml/quick-yaml.ts';
import type { TextBlock } from '../yaml/text-blocks.ts';
import { blockIssues, type PartlyRead } from './block-checks.ts';
import { BuildContext } from './build-context.ts';
import { assembled, type BlockKey, type BuiltBlocks, builtBlock, isBlockKey } from './build-recipe.ts';
import { correlationIssues } from './correlation-issues.ts';
import type { Issue } from './issue.ts';
import { schemaIssues } from './schema-issues.ts';

export interface Checked {
  /** Null when there are issues. */
  readonly recipe: Recipe | null;
  readonly issues: readonly Issue[];
  /** Some text needs the expression engine: load it and check again. */
  readonly engineNeeded: boolean;
}

const READERS = keyReaders(recipeSchema);
const readQuickly = quickReader(recipeSchema);

/** Sound data need no search for what is wrong with them. */
function readData(data: Plain): { value: RecipeData | undefined; issues: RawIssue[] } {
  const quick = readQuickly(data);
  if (quick !== DECLINED) return { value: quick as RecipeData, issues: [] };
  return runSchema<RecipeData>(recipeSchema, data);
}

/** Plain data to recipe; knows nothing of files and positions. `sourceOf` says where the value at a path came from. */
export function checkData(data: Plain, sourceOf: (path: string) => string): Checked {
  const { value, issues: raw } = readData(data);
  const issues = [...schemaIssues(raw, data), ...blockIssues(data, value as PartlyRead | undefined)];
  if (issues.some(i => i.code === 'engine-needed')) return { recipe: null, issues, engineNeeded: true };
  if (issues.length > 0 || value === undefined) return { recipe: null, issues, engineNeeded: false };
  const ctx = new BuildContext(sourceOf);
  const blocks: BuiltBlocks = {};
  for (const key in value) if (isBlockKey(key)) blocks[key] = builtBlock(key, value, ctx);
  return whole(blocks);
}

/**
 * What {@link checkData} gives where nothing is wrong with the data, which may have null for what is absent; else null. A
 * block whose data are those of a block that was sound before is not looked at again: it came from the same place.
 */
export function checkBlocks(
  data: PlainMap,
  own: readonly PlacedBlock[],
  sound: SoundBlocks,
  sourceOf: (path: string) => string,
): Checked | null {
  const elsewhere = new BuildContext(sourceOf);
  const built: BuiltBlocks = {};
  for (const key in data) {
    if (!isBlockKey(key)) return null;
    const value = data[key]!;
    if (value === null) continue;
    const text = own.find(({ block }) => block.key === key)?.block;
    const block = text?.settled && text.value === value ? soundOwn(key, text) : soundElse(key, value, sound, elsewhere);
    if (block === undefined) return null;
    built[key] = block;
  }
  return built.recipe === undefined ? null : whole(built);
}

/** In the recipe's own file a value comes from where it stands. */
const OWN_FILE = new BuildContext(path => path);

function soundOwn(key: BlockKey, text: TextBlock): unknown {
  text.made ??= soundBlock(key, text.value, OWN_FILE);
  return text.made;
}

function soundElse(key: BlockKey, value: Plain, sound: SoundBlocks, ctx: BuildContext): unknown {
  if (typeof value !== 'object' || value === null) return soundBlock(key, value, ctx);
  const before = sound.get(value)?.get(key);
  if (before !== undefined) return before;
  const block = soundBlock(key, withoutNulls(value), ctx);
  if (block === undefined) return undefined;
  const ofValue = sound.get(value) ?? new Map();
  sound.set(value, ofValue.set(key, block));
  return block;
}

/** Undefined where something is wrong with it. */
function soundBlock(key: BlockKey, value: Plain, ctx: BuildContext): unknown {
  const read = READERS.get(key)!(value);
  if (read === DECLINED) return undefined;
  const alone = { [key]: read } as RecipeData;
  if (blockIssues({ [key]: value } satisfies PlainMap, alone as PartlyRead).length > 0) return undefined;
  return builtBlock(key, alone, ctx);
}

function whole(blocks: BuiltBlocks): Checked {
  const recipe = assembled(blocks);
  const late = correlationIssues(recipe);
  return { recipe: late.length === 0 ? recipe : null, issues: late, engineNeeded: false };
}
