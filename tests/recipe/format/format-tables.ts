import type { About, Written } from '../../../src/recipe/schema/field.ts';
import { recipe } from '../../../src/recipe/schema/recipe-schema.ts';
import { kindFacts } from '../../../src/units/quantity-kind.ts';

type Key = readonly [path: string, about: About];

/** Every key of the format below a field, a mapping before its own keys; the keys of models are left to their tables. */
export function* keysBelow({ fields, item, options = [] }: About, path = ''): Iterable<Key> {
  if (item !== undefined) yield* keysBelow(item.about, `${path}[]`);
  for (const [key, { about }] of Object.entries(fields ?? {})) {
    const below = path === '' ? key : `${path}.${key}`;
    // Any block may have a name.
    if (key !== 'name' || fields === recipe.about.fields) yield [below, about];
    yield* keysBelow(about, below);
  }
  // Of one item or a list of them the list tells all.
  const items = options.map(({ about }) => about.item?.about.fields);
  for (const { about } of options) {
    if (about.fields !== undefined && items.includes(about.fields)) continue;
    if (!isModel(about)) yield* keysBelow(about, path);
  }
}

export const isModel = ({ fields }: About) => fields?.['model'] !== undefined;

const HEAD = ['key', 'what it is', 'unit, e.g.', 'range', 'default'];

/** The tables of `recipes/FORMAT.md`: every key of the format, block by block, then the models. */
export function formatTables(): string {
  const all = [...keysBelow(recipe.about)];
  const blocks = all.filter(([, { fields, item }]) => fields !== undefined || item !== undefined).filter(isTop);
  const models = all.filter(([, { options }]) => options?.some(({ about }) => isModel(about)));
  return [
    table(
      HEAD,
      all
        .filter(isTop)
        .filter(key => !blocks.includes(key))
        .map(keyRow),
    ),
    ...blocks.flatMap(([block, about]) => [
      `### \`${block}\``,
      `${about.is}.`,
      table(HEAD, [...keysBelow(about, about.item === undefined ? '' : block)].map(keyRow)),
    ]),
    ...models.flatMap(([path, { options = [] }]) => [
      `### Models of \`${path}\``,
      table(
        ['model', ...HEAD],
        options.flatMap(({ about }) => modelRows(about)),
      ),
    ]),
  ].join('\n\n');
}

const isTop = ([path]: Key) => /^\w+$/.test(path);

function modelRows(about: About): string[][] {
  const [[, name] = ['', about], ...keys] = keysBelow(about);
  return [[code(name.words![0]!), '', about.is, '', '', ''], ...keys.map(key => ['', ...keyRow(key)])];
}

function keyRow([path, about]: Key): string[] {
  const units = (about.kinds ?? []).flatMap(kind => kindFacts(kind).units.slice(0, 2).join(', ') || []);
  const words = about.words?.map(code).join(', ');
  return [code(path), about.is, units.join('; '), words ?? about.range ?? '', defaultCell(about)];
}

/** Something without which its block cannot do has neither a default nor words for its absence. */
function defaultCell(about: About): string {
  if (about.default !== undefined) return writtenText(about.default);
  return about.without === undefined ? 'required' : about.without || '—';
}

/** A default as one would write it; a block or list in which nothing needs to be written has none. */
export function writtenText(value: Written): string {
  if (typeof value !== 'object') return code(String(value));
  if (Array.isArray(value)) return value.length === 0 ? 'none' : code(`[${value.join(', ')}]`);
  const pairs = Object.entries(value).map(([key, one]) => `${key}: ${one}`);
  return pairs.length === 0 ? '—' : code(`{${pairs.join(', ')}}`);
}

const code = (text: string) => `\`${text}\``;

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(' | ')} |`.replaceAll(/ {2,}/g, ' ');
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}
