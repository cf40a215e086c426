import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { SheetOrigin } from '../../report/page/sheet-origin.ts';
import { VERSION } from '../../version.ts';

export const CREATOR = `dwellbook ${VERSION}`;

/** The clock would make every sheet another file; this date says nothing and is the same for all. */
export const NO_DATE = new Date('2000-01-01T00:00:00Z');

/** What a sheet of a recipe says of where it comes from. */
export function sheetOrigin({ recipe, file, digest }: LoadedRecipe): SheetOrigin {
  return { name: recipe?.name ?? file, digest, creator: CREATOR, created: NO_DATE };
}
