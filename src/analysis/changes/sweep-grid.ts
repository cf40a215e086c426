/** One value of a grid: as it goes into the recipe, and as a number where it is one. */
export interface GridValue {
  readonly text: string;
  readonly number: number | null;
}

/** The values that one path takes. */
export interface GridAxis {
  readonly path: string;
  /** Of the numbers; null for plain numbers and for words. */
  readonly unit: string | null;
  readonly spacing: 'linear' | 'log' | 'list';
  readonly values: readonly GridValue[];
}

export const GRID_LIMITS = { points: 1_000_000 } as const;

const NUMBER = /^([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S.*)?$/;
/** Digits of a grid value: binary rounding of the steps does not show. */
const DIGITS = 12;

/**
 * The axis of `path=from:to:steps`, `path=from:to:steps:log` or `path=a,b,c`, or what is wrong with the text. Steps counts
 * the values, both ends among them. One end may leave its unit to the other.
 */
export function gridAxis(text: string): GridAxis | string {
  const at = text.indexOf('=');
  const path = text.slice(0, Math.max(at, 0)).trim();
  const rest = text.slice(at + 1).trim();
  if (path === '' || rest === '') return 'write path=from:to:steps, path=from:to:steps:log or path=a,b,c';
  const items = topLevel(rest, ',');
  const parts = topLevel(rest, ':');
  return items.length > 1 || parts.length === 1 ? listAxis(path, items) : rangeAxis(path, parts);
}

function rangeAxis(path: string, parts: readonly string[]): GridAxis | string {
  const [from, to, steps, spacing = 'linear'] = parts.map(part => part.trim());
  if (parts.length > 4 || steps === undefined) return 'a range is from:to:steps or from:to:steps:log';
  if (spacing !== 'log' && spacing !== 'linear') return `"${spacing}" is no spacing; leave it out or write log`;
  const count = Number(steps);
  if (!/^\d+$/.test(steps) || count < 2) return `"${steps}" is no number of steps; it counts the values, 2 at least`;
  if (count > GRID_LIMITS.points) return `${steps} steps are more than ${GRID_LIMITS.points}`;
  const [a, b] = [NUMBER.exec(from!), NUMBER.exec(to!)];
  if (a === null) return `"${from}" is no number with a unit`;
  if (b === null) return `"${to}" is no number with a unit`;
  const [unit, other] = [a[2] ?? b[2] ?? null, b[2] ?? a[2] ?? null];
  if (unit !== other) return `one end is in ${unit}, the other in ${other}: give both in one unit`;
  const [low, high] = [Number(a[1]), Number(b[1])];
  if (low === high) return `both ends are ${low}`;
  if (spacing === 'log' && !(low > 0 && high > 0)) return 'steps on a logarithmic scale need both ends above zero';
  const values = Array.from({ length: count }, (_, i) => {
    const share = i / (count - 1);
    const value = spacing === 'log' ? low * (high / low) ** share : low + (high - low) * share;
    // The ends are as they were written.
    const number = i === 0 ? low : i === count - 1 ? high : Number(value.toPrecision(DIGITS));
    return { number, text: unit === null ? String(number) : `${number} ${unit}` };
  });
  return { path, unit, spacing, values };
}

function listAxis(path: string, items: readonly string[]): GridAxis | string {
  const texts = items.map(item => item.trim());
  if (texts.includes('')) return 'a value of the list is empty';
  const parsed = texts.map(text => NUMBER.exec(text));
  const unit = parsed[0]?.[2] ?? null;
  const numbers = parsed.every(match => match !== null && (match[2] ?? null) === unit);
  const values = texts.map((text, i) => ({ text, number: numbers ? Number(parsed[i]![1]) : null }));
  return { path, unit: numbers ? unit : null, spacing: 'list', values };
}

/** Split at a sign outside brackets and quotes. */
function topLevel(text: string, sign: string): string[] {
  const parts = [''];
  let depth = 0;
  let quote = '';
  for (const letter of text) {
    if (quote !== '') quote = letter === quote ? '' : quote;
    else if (letter === '"' || letter === "'") quote = letter;
    else if ('[{('.includes(letter)) depth += 1;
    else if (']})'.includes(letter)) depth -= 1;
    if (letter === sign && depth === 0 && quote === '') parts.push('');
    else parts[parts.length - 1] += letter;
  }
  return parts;
}

/** How many points a grid has. */
export function gridSize(axes: readonly GridAxis[]): number {
  return axes.reduce((product, { values }) => product * values.length, 1);
}

/** The values of a point by its number from 0, one an axis; the last axis runs fastest. */
export function gridPoint(axes: readonly GridAxis[], index: number): readonly GridValue[] {
  const point: GridValue[] = [];
  let rest = index;
  for (const { values } of [...axes].reverse()) {
    point.unshift(values[rest % values.length]!);
    rest = Math.floor(rest / values.length);
  }
  return point;
}
