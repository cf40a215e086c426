import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../diagnostics/finding.ts';
import { counted } from '../diagnostics/number-words.ts';
import { parseQuantityLoading } from '../units/parse-quantity-loading.ts';
import type { Problem } from '../units/problem.ts';
import { quantityParts } from '../units/quantity-parts.ts';
import { leftOutFinding } from './columns/left-out.ts';
import type { CheckRow } from './release-log.ts';
import type { DataReading } from './trial-data.ts';

/** The readings of a logged check; SI. */
export interface LoggedReadings {
  readonly values: readonly number[];
  /** Value of the finest last digit among them. */
  readonly lastDigit: number;
  /** Shots on one dot, or in one weighing. */
  readonly shotsEach: number;
}

/** What was typed as the readings of a check, or what is wrong with it. */
export async function loggedReadings({ kind, readings, shots }: CheckRow): Promise<LoggedReadings | Problem> {
  const parts = quantityParts(readings);
  const values: number[] = [];
  const digits: number[] = [];
  for (const { text, lastDigit } of parts) {
    for (const [list, one] of [[values, text] as const, [digits, lastDigit] as const]) {
      const read = await parseQuantityLoading(one, kind === 'dots' ? 'length' : 'mass');
      if (!read.ok) return read;
      list.push(read.value);
    }
  }
  const shotsEach = Math.max(1, Math.round((shots ?? parts.length) / parts.length));
  return { values, lastDigit: Math.min(...digits), shotsEach };
}

/** A recipe by its path from the root and by the digest of its inputs. */
export interface NamedRecipe {
  readonly path: string;
  readonly digest: string;
}

/** Whether a check was made with a recipe: with these very inputs, or with a file of that name, seen from its folder or from one above. */
export function isOfRecipe(check: Pick<CheckRow, 'recipe' | 'digest'>, { path, digest }: NamedRecipe): boolean {
  const below = (whole: string, part: string) => part !== '' && (whole === part || whole.endsWith(`/${part}`));
  return check.digest === digest || below(path, check.recipe) || below(check.recipe, path);
}

/** Places of the checks of a log that are of a recipe and keep readings and setting. What is left out is one warning for its kind. */
export function checksWithReadings(
  { table, rows, diagnostics }: DataReading<CheckRow>,
  { of, isOwn }: { of: string; isOwn: (check: CheckRow) => boolean },
): { own: readonly number[]; diagnostics: Diagnostic[] } {
  if (table === null || rows === null) return { own: [], diagnostics: [...diagnostics] };
  const places = rows.map((_, i) => i);
  const others = places.filter(i => !isOwn(rows[i]!));
  const own = places.filter(i => isOwn(rows[i]!));
  const bare = own.filter(i => rows[i]!.readings === '' || rows[i]!.pressure === null || rows[i]!.dwell === null);
  const all = [
    ...diagnostics,
    ...leftOutFinding(table, bare, { what: 'readings with pressure and dwell', of: own.length }),
  ];
  if (others.length > 0) {
    const message = `${counted(others.length, 'check')} of other recipes than ${of} left out`;
    const help = 'each recipe has its own checks in a log: name the recipe that those were made with';
    all.push(placed(floorFinding('data-row-skipped', 'recipe', message, help), table.place(others[0]!, 0)));
  }
  return { own: own.filter(i => !bare.includes(i)), diagnostics: all };
}
