import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { parsePath } from '../../recipe/yaml/path.ts';
import { cavity } from '../cavity/cavity.ts';
import { withinNumbers } from '../delivery/beyond-numbers.ts';
import { gauge } from '../dot/gauge.ts';
import { insert } from '../insert/insert.ts';
import { mix } from '../mix/mix.ts';
import { oven } from '../oven/oven.ts';
import { ramp } from '../ramp/ramp.ts';
import { spread } from '../rehearse/spread.ts';
import { setpoint } from '../setpoint/setpoint.ts';
import { shot } from '../shot/shot.ts';
import type { ResultValue } from './recipe-results.ts';

/** Analyses whose results can be taken by key, by the name of their command. */
const ANALYSES: Readonly<Record<string, (recipe: Recipe) => Outcome<object>>> = {
  cavity: recipe => cavity(recipe),
  shot: recipe => shot(recipe),
  setpoint: recipe => setpoint(recipe),
  ramp: recipe => ramp(recipe),
  gauge: recipe => gauge(recipe),
  mix: recipe => mix(recipe),
  insert: recipe => insert(recipe),
  oven: recipe => oven(recipe),
  spread: recipe => spread(recipe),
};

/** What a recipe gives for the keys that were asked for. */
export interface Taken {
  /** In the order of the keys; null where it cannot be computed or does not apply. */
  readonly values: readonly ResultValue[];
  /** Keys of which the result, though there is one, knows nothing. */
  readonly unknown: readonly string[];
  /** True when one of the results cannot be computed. */
  readonly failed: boolean;
  readonly findings: readonly Finding[];
}

/** Values of results by keys such as `shot.volume_uL` and `ramp.program.stages[0].add_s`; each analysis runs once. */
export function takeResults(recipe: Recipe, keys: readonly string[]): Taken {
  const outcomes = new Map<string, Outcome<object>>();
  const outcomeOf = (name: string) => {
    const known = outcomes.get(name) ?? withinNumbers(() => ANALYSES[name]!(recipe));
    outcomes.set(name, known);
    return known;
  };
  const unknown: string[] = [];
  const values = keys.map((key): ResultValue => {
    const [name, ...steps] = parsePath(key) as string[];
    const value = valueAt(outcomeOf(name!).result, steps);
    if (value === undefined || (typeof value === 'object' && value !== null)) unknown.push(key);
    return isResultValue(value) ? value : null;
  });
  const all = [...outcomes.values()];
  return {
    values,
    unknown,
    failed: all.some(({ result }) => result === null),
    findings: all.flatMap(({ findings }) => findings),
  };
}

/** Why a text can be no key at all, or null. */
export function keyProblem(key: string): string | null {
  const names = Object.keys(ANALYSES);
  const [name, ...steps] = parsePath(key) ?? [];
  if (typeof name !== 'string' || !Object.hasOwn(ANALYSES, name)) {
    const near = typeof name === 'string' ? didYouMean(name, names) : null;
    return `"${key}" is no key of a result${near === null ? `; keys start with ${names.join(', ')}` : `: ${near}`}`;
  }
  return steps.length === 0 ? `"${key}" is a whole result; name a value in it, such as shot.volume_uL` : null;
}

/** Why a key is unknown to the result of a recipe, with the nearest that is known. */
export function unknownKeyText(recipe: Recipe, key: string): string {
  const [name = ''] = key.split('.');
  const analysis = ANALYSES[name];
  const result = analysis === undefined ? null : withinNumbers(() => analysis(recipe)).result;
  const keys = result === null ? [] : leafKeys(result, name);
  const inside = keys.filter(k => k.startsWith(`${key}.`) || k.startsWith(`${key}[`));
  if (inside.length > 0) return `"${key}" is more than one value; take ${inside.slice(0, 5).join(', ')}`;
  const near = didYouMean(key, keys);
  return `"${key}" is no key of ${name}${near === null ? `; there are ${keys.slice(0, 12).join(', ')}` : `: ${near}`}`;
}

function leafKeys(value: unknown, path: string): string[] {
  if (Array.isArray(value)) return value.slice(0, 3).flatMap((item, i) => leafKeys(item, `${path}[${i}]`));
  if (typeof value !== 'object' || value === null) return [path];
  return Object.entries(value).flatMap(([key, inner]) => leafKeys(inner, `${path}.${key}`));
}

/** Undefined for what is not there; null from the first null on the way. */
function valueAt(result: object | null, steps: readonly (string | number)[]): unknown {
  let at: unknown = result;
  for (const step of steps) {
    if (at === null) return null;
    // A list that is shorter than asked for has nothing there; that is no mistake of the key.
    if (Array.isArray(at) && typeof step === 'number' && step >= at.length) return null;
    if (typeof at !== 'object' || !Object.hasOwn(at, step)) return undefined;
    at = (at as Record<string | number, unknown>)[step];
  }
  return at;
}

function isResultValue(value: unknown): value is ResultValue {
  return value === null || ['number', 'string', 'boolean'].includes(typeof value);
}
