import { type RecipeResult, type ResultValue, roundingOf } from './recipe-results.ts';
import { hasMoved, roundedResult } from './rounded-result.ts';

/** A result that differs; null where one side has none. */
export interface ResultChange {
  readonly key: string;
  readonly old: ResultValue;
  readonly new: ResultValue;
  /** New over old, less one; null where either is no number or old is zero. */
  readonly change_pct: number | null;
}

/** The results that differ by more than their rounding; what both lack is no difference. */
export function movedResults(
  old: ReadonlyMap<string, ResultValue>,
  now: readonly Pick<RecipeResult, 'key' | 'value'>[],
): ResultChange[] {
  const keys = new Set(now.map(({ key }) => key));
  const lost = [...old].filter(([key]) => !keys.has(key)).map(([key]) => ({ key, value: null }));
  return [...now, ...lost].flatMap(({ key, value }) => {
    const was = old.get(key) ?? null;
    return differs(key, was, value) ? [change(key, was, value)] : [];
  });
}

/** The values of results by key. */
export function valuesByKey(results: readonly RecipeResult[]): ReadonlyMap<string, ResultValue> {
  return new Map(results.map(({ key, value }) => [key, value]));
}

function differs(key: string, old: ResultValue, now: ResultValue): boolean {
  return typeof old === 'number' && typeof now === 'number' ? hasMoved(old, now, roundingOf(key)) : old !== now;
}

function change(key: string, old: ResultValue, now: ResultValue): ResultChange {
  const share = typeof old === 'number' && typeof now === 'number' && old !== 0 ? (now / old - 1) * 100 : null;
  return { key, old, new: now, change_pct: share };
}

/** `shot.volume_uL 4.987 → 3.99 (-20 %)`. */
export function resultChangeText(change: ResultChange): string {
  const share = shareText(change);
  const values = `${resultText(change.key, change.old)} → ${resultText(change.key, change.new)}`;
  return `${change.key} ${values}${share === '' ? '' : ` (${share})`}`;
}

/** A result in words, at its rounding; what cannot be computed is a dash. */
export function resultText(key: string, value: ResultValue): string {
  if (value === null) return '–';
  if (typeof value === 'number') return String(roundedResult(value, roundingOf(key)));
  return typeof value === 'boolean' ? (value ? 'yes' : 'no') : value;
}

/** `+3.1 %`, or nothing where a share says nothing: of a percentage, a word, a zero. */
export function shareText({ key, change_pct: share }: ResultChange): string {
  if (share === null || /_pct$/.test(key)) return '';
  const size = Math.abs(share);
  return `${share < 0 ? '-' : '+'}${Number(size.toPrecision(size < 100 ? 2 : 3))} %`;
}
