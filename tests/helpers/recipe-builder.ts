import type { Per, Quantity, Recipe, Tolerance } from '../../src/recipe/schema/recipe.ts';

/** A quantity in SI: a number, or a number with its tolerance. */
export type Leaf = number | ({ value: number; halfWidth: number } & Partial<Omit<Tolerance, 'halfWidth'>>);
/** The recipe file as a tree, in SI, sections as in the file: `diameter` is one leaf or [front, rear]. */
export type Tree = { [key: string]: unknown };

/** Numbers that are no quantities. */
const PLAIN = new Set(['recipe', 'shots', 'stages', 'prime', 'every', 'from_shot', 'r', 'count']);

/** Keys that are half-widths on another value. */
const DEVIATIONS = new Set(['accuracy', 'jitter']);

/** Turns a tree of SI numbers into a recipe: every leaf becomes a quantity with its path, and defaults are filled in. */
export function buildRecipe(tree: Tree): Recipe {
  return convert(withDefaults(tree), '') as Recipe;
}

/** The example recipe of a tide-gauge pigtail, with overrides by path: `exampleRecipe({'connector.face': 1e-3})`. */
export function exampleRecipe(overrides: Record<string, unknown> = {}): Recipe {
  const tree = structuredClone(EXAMPLE) as Tree;
  for (const [path, value] of Object.entries(overrides)) setAt(tree, path, value);
  return buildRecipe(tree);
}

const kilo = 1e3;
const mm = 1e-3;
const um = 1e-6;
const degree = Math.PI / 180;
const dimension = (value: number, halfWidth: number, per: Per = 'connector'): Leaf => ({
  value,
  halfWidth,
  distribution: 'uniform',
  per,
});

/** The recipe of the format's own example, in SI. */
const EXAMPLE: Tree = {
  recipe: 1,
  name: 'Tide-gauge pigtail',
  connector: {
    cavity: [
      { part: 'bore', diameter: dimension(126 * um, 0.5 * um), length: dimension(5.5 * mm, 0.1 * mm) },
      { part: 'lead-in', diameter: [126 * um, 0.9 * mm], length: 0.6 * mm },
      { part: 'tube', diameter: 1.1 * mm, length: 7 * mm },
    ],
    face: 1.25 * mm,
    cable: [
      { part: 'fibre', diameter: dimension(125 * um, 0.7 * um), length: 6.6 * mm },
      { part: 'coating', diameter: 245 * um, length: 1 * mm },
      { part: 'buffer', diameter: 0.9 * mm, length: 20 * mm },
    ],
    protrusion: 1 * mm,
    bead: { diameter: 0.5 * mm, contact_angle: 60 * degree },
    reach: { min: 9 * mm, max: 12.5 * mm },
    allowance: 0.03,
  },
  needle: { gauge: '22', wall: 'regular', length: 12.7 * mm },
  resin: {
    name: 'Amber 40',
    density: 1150,
    surface_tension: 42e-3,
    rheology: { model: 'newtonian', viscosity: { value: 2.4, halfWidth: 0.36, distribution: 'normal', per: 'lot' } },
    reference_temperature: 298.15,
    activation_energy: 60e3,
    cure: { model: 'pot-life', time: 3600, factor: 2 },
    dot: { contact_angle: 32 * degree, read_after: 20, surface: 'glass slide over the sheet' },
  },
  station: {
    pressure: { min: 10 * kilo, max: 550 * kilo, step: 1 * kilo, accuracy: 2 * kilo },
    dwell: { min: 0.05, max: 99, step: 0.01, jitter: 0.003 },
    rating: 100 * 6894.757293168361,
    air: { model: 'ideal' },
    hold_back: { max: 5 * kilo },
    syringe: {
      barrel: 10e-6,
      inside_diameter: 15.8 * mm,
      fill: 5e-6,
      left_over: 0.3e-6,
      plunger_friction: 3 * kilo,
    },
    ramp: { add_step: 0.01, stages: 1 },
  },
  process: {
    temperature: { value: 296.15, halfWidth: 2, distribution: 'normal', per: 'syringe' },
    takt: 40,
    ready_after: 720,
    tolerance: 0.1,
    stop_at: { viscosity_factor: 2 },
    bore_shot: 'by_sight',
    prime: 3,
  },
  settings: { pressure: 210 * kilo, dwell: 0.53, ramp: [{ from_shot: 1, add: 0.02, every: 4 }] },
};

/** Sets a value in the tree; `null` removes the key. */
function setAt(tree: Tree, path: string, value: unknown): void {
  const keys = path.replace(/\[(\d+)\]/g, '.$1').split('.');
  const last = keys.pop() as string;
  let node = tree as Record<string, unknown>;
  for (const key of keys) {
    if (node[key] === undefined || node[key] === null) node[key] = {};
    node = node[key] as Record<string, unknown>;
  }
  if (value === null) delete node[last];
  else node[last] = value;
}

function withDefaults(tree: Tree): Tree {
  const block = (name: string, defaults: Tree): Tree =>
    tree[name] === undefined ? {} : { [name]: { ...defaults, ...(tree[name] as Tree) } };
  const resin = block('resin', { reference_temperature: 298.15, lot_factor: 1, cure: { model: 'none' } });
  const dot = (resin['resin'] as Tree | undefined)?.['dot'];
  if (dot !== undefined) (resin['resin'] as Tree)['dot'] = { reading_error: 1e-4, ...(dot as Tree) };
  const station = block('station', {
    air: { model: 'ideal' },
    ramp: { add_step: 0.01, stages: 1 },
    atmosphere: 101_325,
    display: {},
  });
  const air = (station['station'] as Tree | undefined)?.['air'] as Tree | undefined;
  if (air !== undefined) (station['station'] as Tree)['air'] = { exponent: 1, ...airDefaults(air), ...air };
  return {
    recipe: 1,
    silence: [],
    correlations: [],
    ...tree,
    ...block('connector', { protrusion: 0, allowance: 0, bore_contact_angle: Math.PI / 2 }),
    ...block('needle', { wall: 'regular', ends: 'entrance' }),
    ...resin,
    ...station,
    ...block('process', { ready_after: 0, bore_shot: 'by_sight', prime: 3, practical_dwell: [0.2, 4] }),
    ...block('calibration', { viscosity_factor: 1, pressure_offset: 0, dead_time: 0 }),
  };
}

function airDefaults(air: Tree): Tree {
  if (air['model'] !== 'iso6358') return {};
  return { exhaust_conductance: air['conductance'], exhaust_critical_ratio: air['critical_ratio'], vent_to: 0 };
}

function convert(node: unknown, path: string): unknown {
  if (typeof node === 'number' || isLeaf(node)) return quantity(node, path);
  if (Array.isArray(node)) return node.map((item, i) => convert(item, `${path}[${i}]`));
  if (typeof node !== 'object' || node === null) return node;
  const tree = node as Tree;
  if ('part' in tree && ('diameter' in tree || 'width' in tree)) return section(tree, path);
  return Object.fromEntries(
    Object.entries(tree).map(([key, value]) => {
      const at = path === '' ? key : `${path}.${key}`;
      if (PLAIN.has(key) && typeof value === 'number') return [key, value];
      return [key, DEVIATIONS.has(key) ? deviation(value as Leaf, at) : convert(value, at)];
    }),
  );
}

/** A half-width on the set pressure or dwell, with the loader's defaults. */
function deviation(leaf: Leaf, path: string): unknown {
  return { ...quantity(leaf, path), distribution: 'normal', coverage: 2, per: 'shot' };
}

function section(tree: Tree, path: string): unknown {
  const of = (key: string) => quantity(tree[key] as Leaf, `${path}.${key}`);
  const rest = {
    length: of('length'),
    path,
    ...('count' in tree ? { count: tree['count'] } : {}),
    ...('pitch' in tree ? { pitch: of('pitch') } : {}),
  };
  if ('width' in tree) {
    const [width, height] = [of('width'), of('height')];
    const side = width.value < height.value ? width : height;
    return { part: tree['part'], front: { ...side }, rear: { ...side }, ...rest, sides: { width, height } };
  }
  const diameter = tree['diameter'] as Leaf | [Leaf, Leaf];
  const both = Array.isArray(diameter);
  return {
    part: tree['part'],
    front: quantity(both ? diameter[0] : diameter, both ? `${path}.diameter[0]` : `${path}.diameter`),
    rear: quantity(both ? diameter[1] : diameter, both ? `${path}.diameter[1]` : `${path}.diameter`),
    ...rest,
  };
}

function isLeaf(node: unknown): node is Exclude<Leaf, number> {
  return typeof node === 'object' && node !== null && 'halfWidth' in node && 'value' in node;
}

function quantity(leaf: Leaf, path: string): Quantity {
  if (typeof leaf === 'number') return { value: leaf, path, source: path };
  const { value, halfWidth, distribution = 'normal', coverage = 2, per = 'lot' } = leaf;
  return { value, tolerance: { halfWidth, distribution, coverage, per }, path, source: path };
}
