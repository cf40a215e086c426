import type { SoundBlocks } from '../parts/load-cache.ts';
import { BuildContext, BY_DEFAULT } from '../schema/build-context.ts';
import { type AnyField, runSchema } from '../schema/field.ts';
import type { Recipe } from '../schema/recipe.ts';
import { type BlockKey, RECIPE_FIELDS, type RecipeData, recipe } from '../schema/recipe-schema.ts';
import type { Plain, PlainMap } from '../yaml/plain-data.ts';
import type { PlacedBlock } from '../yaml/quick-yaml.ts';
import type { TextBlock } from '../yaml/text-blocks.ts';
import { blockIssues, type PartlyRead } from './block-checks.ts';
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

const FIELDS: Readonly<Record<BlockKey, AnyField>> = RECIPE_FIELDS;

function isBlockKey(key: string): key is BlockKey {
  return Object.hasOwn(FIELDS, key);
}

/** Plain data to recipe; knows nothing of files and positions. `sourceOf` says where the value at a path came from. */
export function checkData(data: Plain, sourceOf: (path: string) => string): Checked {
  const { value, issues: raw } = runSchema<RecipeData>(recipe.schema, data);
  const issues = [...schemaIssues(raw, data), ...blockIssues(data, value as PartlyRead | undefined)];
  if (issues.some(i => i.code === 'engine-needed')) return { recipe: null, issues, engineNeeded: true };
  if (issues.length > 0 || value === undefined) return { recipe: null, issues, engineNeeded: false };
  return whole(recipe.make(value, '', new BuildContext(sourceOf)));
}

/**
 * What {@link checkData} gives where nothing is wrong with the data, which may have null for what is absent; else null. A
 * block knows nothing of the others, so one whose data are those of a block that was sound before is not looked at again: it
 * came from the same place.
 */
export function checkBlocks(
  data: PlainMap,
  own: readonly PlacedBlock[],
  sound: SoundBlocks,
  sourceOf: (path: string) => string,
): Checked | null {
  const elsewhere = new BuildContext(sourceOf);
  const built: { [K in BlockKey]?: unknown } = {};
  for (const key in data) {
    if (!isBlockKey(key)) return null;
    const value = data[key]!;
    if (value === null) continue;
    const text = own.find(({ block }) => block.key === key)?.block;
    const block = text?.settled && text.value === value ? soundOwn(key, text) : soundElse(key, value, sound, elsewhere);
    if (block === undefined) return null;
    built[key] = block;
  }
  if (built.recipe === undefined) return null;
  return whole(assembled(built));
}

/** The recipe of its blocks, with what the format has for those that are absent. */
function assembled(built: { [K in BlockKey]?: unknown }): Recipe {
  const all: { [K in BlockKey]?: unknown } = {};
  for (const key of Object.keys(FIELDS) as BlockKey[]) {
    const block = built[key] ?? FIELDS[key].make(undefined, key, BY_DEFAULT);
    if (block !== undefined) all[key] = block;
  }
  return all as Recipe;
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
  const block = soundBlock(key, value, ctx);
  if (block === undefined) return undefined;
  const ofValue = sound.get(value) ?? new Map();
  sound.set(value, ofValue.set(key, block));
  return block;
}

/** Undefined where something is wrong with it. */
function soundBlock(key: BlockKey, value: Plain, ctx: BuildContext): unknown {
  const { value: read, issues } = runSchema<unknown>(FIELDS[key].schema, value);
  if (issues.length > 0) return undefined;
  if (blockIssues({ [key]: value }, { [key]: read } as PartlyRead).length > 0) return undefined;
  return FIELDS[key].make(read, key, ctx);
}

function whole(made: Recipe): Checked {
  const late = correlationIssues(made);
  return { recipe: late.length === 0 ? made : null, issues: late, engineNeeded: false };
}
