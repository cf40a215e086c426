import type { Page, SheetDocument } from './marks.ts';
import { plainText } from './set-text.ts';

/** Where a sheet comes from, as its last line and the properties of the file say. */
export interface SheetOrigin {
  /** Name of the recipe, of any length. */
  readonly name: string;
  /** SHA-256 of the inputs in hexadecimal. */
  readonly digest: string;
  /** Program and version, as in "dwellbook 0.1.0". */
  readonly creator: string;
  /** Goes into the file as its date of creation. */
  readonly created: Date;
}

/** The last line of a sheet; `more` says what else belongs to its inputs. */
export function madeText(
  { creator, digest, name }: SheetOrigin,
  more: { before?: string; after?: string } = {},
): string {
  const parts = [creator, more.before, `inputs ${digest.slice(0, 16)}`, more.after, plainText(name)];
  return parts.filter(part => part !== undefined).join(' · ');
}

/** A sheet of these pages. */
export function sheetDocument(
  { creator, created }: Pick<SheetOrigin, 'creator' | 'created'>,
  { title, subject, pages }: { readonly title: string; readonly subject: string; readonly pages: readonly Page[] },
): SheetDocument {
  return { title, subject, lang: 'en', creator, created, pages };
}
