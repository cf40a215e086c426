import type { Quantity, Recipe } from '../schema/recipe.ts';
import { type Path, parsePath, pathText } from '../yaml/path.ts';
import { isPlainMap, type Plain } from '../yaml/plain-data.ts';
import { DIGEST_LEAVES_OUT } from './digest.ts';

/** Keys at the top of a recipe that nothing is computed from. */
const NO_INPUT = new Set(['recipe', 'from']);

/**
 * Every value that results are computed from, as it was written, by its path: `resin.rheology.viscosity` → `2.4 Pa.s ± 15 %`.
 * Names, remarks and what is only shown are left out, as in the digest. In the order of the paths, items by number.
 */
export function recipeInputs(data: Plain): ReadonlyMap<string, string> {
  const found: { path: Path; text: string }[] = [];
  const walk = (value: Plain, path: Path): void => {
    if (Array.isArray(value)) value.forEach((item, i) => void walk(item, [...path, i]));
    else if (isPlainMap(value)) {
      for (const key of Object.keys(value)) {
        if (!isLeftOut(path, key)) walk(value[key]!, [...path, key]);
      }
    } else if (value !== null) found.push({ path, text: String(value).trim() });
  };
  walk(data, []);
  found.sort((a, b) => comparePaths(a.path, b.path));
  return new Map(found.map(({ path, text }) => [pathText(path), text]));
}

function isLeftOut(path: Path, key: string): boolean {
  if (key === 'display') return false;
  if (path.at(-1) === 'display') return key !== 'pressure';
  return DIGEST_LEAVES_OUT.has(key) || (path.length === 0 && NO_INPUT.has(key));
}

/** A value that differs between two recipes; null where it is absent. */
export interface InputChange {
  readonly path: string;
  readonly old: string | null;
  readonly new: string | null;
}

/** The inputs that differ, in the order of their paths. */
export function inputChanges(old: ReadonlyMap<string, string>, now: ReadonlyMap<string, string>): InputChange[] {
  const paths = [...new Set([...old.keys(), ...now.keys()])];
  return paths
    .filter(path => old.get(path) !== now.get(path))
    .map(path => ({ path, old: old.get(path) ?? null, new: now.get(path) ?? null }))
    .sort((a, b) => comparePaths(parsePath(a.path) ?? [a.path], parsePath(b.path) ?? [b.path]));
}

/** The inputs that differ in what they mean: `2.4 Pa.s` for `2400 mPa.s` is no change. */
export function meaningfulChanges(changes: readonly InputChange[], old: Recipe, now: Recipe): InputChange[] {
  const [before, after] = [quantities(old), quantities(now)];
  return changes.filter(({ path }) => {
    const [was, is] = [quantityAt(before, path), quantityAt(after, path)];
    return was === null || is === null || was !== is;
  });
}

/** `2.4 → 3 Pa.s` where the unit stays, else both in full. */
export function changeText({ old, new: now }: Pick<InputChange, 'old' | 'new'>): string {
  const number = /^([-+\d.eE]+)\s+(\S.*)$/;
  const [was, is] = [number.exec(old ?? ''), number.exec(now ?? '')];
  if (was !== null && is !== null && was[2] === is[2]) return `${was[1]} → ${is[1]} ${is[2]}`;
  return `${old ?? 'absent'} → ${now ?? 'absent'}`;
}

/** Every quantity of a recipe in SI, by path; defaults too. */
function quantities(recipe: Recipe): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  const walk = (value: unknown): void => {
    if (Array.isArray(value)) value.forEach(walk);
    else if (typeof value === 'object' && value !== null) {
      const { value: si, path, source, ...rest } = value as Partial<Quantity>;
      if (typeof si === 'number' && typeof path === 'string' && typeof source === 'string') {
        found.set(path, JSON.stringify([si, rest]));
      } else Object.values(value).forEach(walk);
    }
  };
  walk(recipe);
  return found;
}

/** The quantity that a path of the text belongs to: its own, or that of the mapping (`value`, `tolerance`) it stands in. */
function quantityAt(all: ReadonlyMap<string, string>, path: string): string | null {
  return all.get(path) ?? all.get(path.replace(/\.[^.[\]]+$/, '')) ?? null;
}

function comparePaths(a: Path, b: Path): number {
  for (let i = 0; i < Math.min(a.length, b.length); i++) {
    const [x, y] = [a[i]!, b[i]!];
    if (x === y) continue;
    if (typeof x === 'number' && typeof y === 'number') return x - y;
    return String(x) < String(y) ? -1 : 1;
  }
  return a.length - b.length;
}
