import { freezeFinding } from '../../diagnostics/codes/freeze-codes.ts';
import { type Diagnostic, type Place, placed } from '../../diagnostics/finding.ts';
import { type Path, pathText } from '../yaml/path.ts';
import { foundText, isPlainMap, type Plain, type PlainMap } from '../yaml/plain-data.ts';
import { SourceFile } from '../yaml/source-file.ts';
import { scalarText } from '../yaml/yaml-values.ts';

/** What a lock file holds on one recipe. */
export interface LockEntry {
  /** Of the inputs, as `LoadedRecipe.digest` has it. */
  readonly digest: string;
  /** Version of every model at that time. */
  readonly models: Readonly<Record<string, number>>;
  /** What was written in the recipe, by path. */
  readonly inputs: ReadonlyMap<string, string>;
  /** Rounded, by key. */
  readonly results: ReadonlyMap<string, string | number | boolean | null>;
}

export interface LockFile {
  /** As named in the call. */
  readonly name: string;
  /** By path of the recipe, relative to the folder of the lock file, with slashes. */
  readonly entries: ReadonlyMap<string, LockEntry>;
  /** What is wrong with the file; then there are no entries. */
  readonly findings: readonly Diagnostic[];
  /** Place of the entry of a recipe, or of a key in it; null is the whole file. */
  place(recipe: string | null, keys?: Path): Place;
}

/** Format of the file. */
const FORMAT = 1;

const HEAD = `# Computed results of recipes, as \`dwellbook freeze\` wrote them; \`dwellbook check --frozen\` holds recipes to them.
# Results are rounded to 4 significant digits, settings to 6, percentages to 0.001. Review a change of this file like a
# change of the settings themselves; to accept one, freeze again.
`;

const CODE = 'lock-invalid';

/** The text of a lock file: one value a line, sorted by path of the recipe, so that a diff shows what moved. */
export function lockText(entries: ReadonlyMap<string, LockEntry>): string {
  const paths = [...entries.keys()].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
  if (paths.length === 0) return `${HEAD}lock: ${FORMAT}\nrecipes: {}\n`;
  return `${HEAD}lock: ${FORMAT}\nrecipes:\n${paths.map(path => entryText(path, entries.get(path)!)).join('')}`;
}

function entryText(path: string, { digest, models, inputs, results }: LockEntry): string {
  const sorted = Object.entries(models).sort(([a], [b]) => (a < b ? -1 : 1));
  return [
    `  ${scalarText(path)}:`,
    `    digest: ${scalarText(digest)}`,
    ...blockLines('models', sorted),
    ...blockLines('results', [...results]),
    ...blockLines('inputs', [...inputs]),
    '',
  ].join('\n');
}

function blockLines(name: string, pairs: readonly (readonly [string, string | number | boolean | null])[]): string[] {
  if (pairs.length === 0) return [`    ${name}: {}`];
  const lines = pairs.map(([key, value]) => `      ${keyText(key)}: ${valueText(value)}`);
  return [`    ${name}:`, ...lines];
}

/** A path with brackets is plain text where a line starts with it. */
function keyText(key: string): string {
  return /^[A-Za-z_][\w.[\]-]*$/.test(key) ? key : JSON.stringify(key);
}

function valueText(value: string | number | boolean | null): string {
  return typeof value === 'string' ? scalarText(value) : String(value);
}

/** The lock file of these bytes. Never throws: what is wrong is in its findings. */
export function readLock(name: string, bytes: Uint8Array): LockFile {
  const source = SourceFile.fromBytes(name, bytes);
  const place: LockFile['place'] = (recipe, keys = []) =>
    source.place(recipe === null ? ['lock'] : ['recipes', recipe, ...keys], 'key');
  const fail = (path: readonly (string | number)[], message: string): LockFile => {
    const help = 'take the last sound version of the file, or remove it and run `dwellbook freeze`';
    const f = freezeFinding(CODE, pathText(path), message, help);
    return { name, entries: new Map(), findings: [placed(f, source.place(path, 'value'))], place };
  };
  const broken = source.diagnostics[0];
  if (broken !== undefined) {
    const help = 'a merge leaves such places: take one side, then run `dwellbook freeze`';
    return { name, entries: new Map(), findings: [{ ...broken, code: CODE, help }], place };
  }
  const { lock, recipes } = source.data;
  if (lock !== FORMAT) return fail(['lock'], `found ${foundText(lock)}, expected "lock: ${FORMAT}"`);
  if (!isPlainMap(recipes)) return fail(['recipes'], `found ${foundText(recipes)}, expected the recipes by path`);
  const entries = new Map<string, LockEntry>();
  for (const [path, data] of Object.entries(recipes)) {
    const entry = entryOf(data);
    if (typeof entry === 'string') return fail(['recipes', path, entry], `${entry} of "${path}" cannot be read`);
    entries.set(path, entry);
  }
  return { name, entries, findings: [], place };
}

/** The entry, or the name of what is wrong in it. */
function entryOf(data: Plain): LockEntry | string {
  if (!isPlainMap(data)) return 'digest';
  const { digest, models, inputs, results } = data;
  if (typeof digest !== 'string') return 'digest';
  if (!isPlainMap(models) || !Object.values(models).every(Number.isInteger)) return 'models';
  if (!isFlat(results)) return 'results';
  if (!isFlat(inputs)) return 'inputs';
  return {
    digest,
    models: models as Record<string, number>,
    inputs: new Map(Object.entries(inputs).map(([path, text]) => [path, String(text)])),
    results: new Map(Object.entries(results) as [string, string | number | boolean | null][]),
  };
}

function isFlat(data: Plain | undefined): data is PlainMap {
  return isPlainMap(data) && Object.values(data).every(value => typeof value !== 'object' || value === null);
}
