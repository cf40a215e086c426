import { UsageError } from '../terminal/exit-status.ts';

/**
 * Throws: UsageError when the name of a sheet does not end in .pdf. A sheet is to be printed to scale, which a picture of
 * pixels would leave to whatever shows it.
 */
export function requireSheetName(path: string | null | undefined, option = '-o'): void {
  if (path === null || path === undefined || /\.pdf$/i.test(path)) return;
  throw new UsageError(`${option} ${path}: the sheet is a PDF, to be printed to scale; its name ends in .pdf`);
}
