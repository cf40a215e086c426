import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type CavityBook, cavityBook } from './cavity-book.ts';

/** What a connector wants of the syringe [m³]. */
export interface DispenseAim {
  /** Backfill, allowance included. */
  readonly aim: number;
  readonly boreShot: number;
  readonly book: CavityBook;
}

/** Backfill aim and bore shot of the recipe's connector, for what cannot be computed without them. */
export function dispenseAim(recipe: Recipe, purpose: string): Outcome<DispenseAim> {
  const { result: book, findings } = cavityBook(recipe);
  const missing = missingBlocks(recipe, purpose);
  if (book === null || missing.length > 0)
    return { result: null, findings: [...missing, ...unlike(findings, missing)] };
  const { backfill, boreShot } = book;
  if (backfill.aim === null || boreShot === null) return { result: null, findings: withError(findings) };
  if (!(backfill.aim > 0)) return { result: null, findings: withError(findings) };
  return { result: { aim: backfill.aim, boreShot, book }, findings };
}

function missingBlocks(recipe: Recipe, purpose: string): Finding[] {
  const { connector } = recipe;
  if (connector === undefined) return [blockMissing('connector', purpose)];
  const gaps: [boolean, string][] = [
    [connector.cavity === undefined || connector.cavity.length === 0, 'connector.cavity'],
    [connector.cable === undefined, 'connector.cable'],
    [connector.bead === undefined, 'connector.bead'],
    [connector.reach === undefined, 'connector.reach'],
    [recipe.needle === undefined, 'needle'],
  ];
  return gaps.filter(([gap]) => gap).map(([, path]) => blockMissing(path, purpose));
}

/** Findings that are not about a key, or a key inside a block, already said to be missing. */
function unlike(findings: readonly Finding[], missing: readonly Finding[]): Finding[] {
  const inside = (path: string | null, block: string | null) =>
    path === block || path?.startsWith(`${block}.`) === true;
  return findings.filter(finding => !missing.some(other => inside(finding.path, other.path)));
}

/** A null result comes with an error; the book's own warnings (needle outside unknown) may be all there is. */
function withError(findings: readonly Finding[]): Finding[] {
  if (findings.some(finding => finding.severity === 'error')) return [...findings];
  return [...findings, blockMissing('needle.outside', 'the seat, and with it the backfill,')];
}
