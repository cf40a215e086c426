import type { Diagnostic } from './finding.ts';
import { choice } from './suggestion.ts';

/** So many places of a fault that repeats itself are named. */
const NAMED = 3;

/** Codes that cells and rows of a data file raise again and again. */
const OF_ROWS = /^(?:data-|number-invalid$|fit-(?:row-impossible|outlier|leverage)$)/;

/**
 * Faults of rows of one kind as one: the first of them, with their number and the first three places. Of one kind are those whose code, path and
 * message are the same but for what is quoted and for numbers.
 */
export function mergeRepeated(diagnostics: readonly Diagnostic[]): Diagnostic[] {
  const kinds = new Map<string, Diagnostic[]>();
  for (const [i, d] of diagnostics.entries()) {
    const about = [d.code, d.severity, d.file, d.path, messageKind(d.message)];
    const kind = OF_ROWS.test(d.code) ? JSON.stringify(about) : String(i);
    kinds.set(kind, [...(kinds.get(kind) ?? []), d]);
  }
  return [...kinds.values()].map(kind => {
    const [first] = kind as [Diagnostic];
    if (kind.length === 1) return first;
    const places = placesText(kind);
    return { ...first, message: `${first.message} (${kind.length} times: ${places})` };
  });
}

/** A message but for what is quoted and for numbers. */
export function messageKind(message: string): string {
  return message.replace(/"[^"]*"/g, '""').replace(/-?\d+(?:\.\d+)?(?:e[-+]?\d+)?/g, '0');
}

/** "lines 4, 9 and 12", or the columns where all are of one line; the first three, and how many more. */
export function placesText(places: readonly { readonly line: number; readonly column: number }[]): string {
  const oneLine = places.every(p => p.line === places[0]!.line);
  const at = places.slice(0, NAMED).map(p => String(oneLine ? p.column : p.line));
  const more = places.length - at.length;
  const text = more > 0 ? `${at.join(', ')} and ${more} more` : choice(at).replace(' or ', ' and ');
  const plural = places.length === 1 ? '' : 's';
  return `${oneLine && places.length > 1 ? 'column' : 'line'}${plural} ${text}`;
}
