import type { Diagnostic } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../../recipe/format/load.ts';
import { distinctDiagnostics } from '../../report/check/distinct-diagnostics.ts';
import { takenAtPoint } from './sweep-point.ts';

/** Why the results of a point cannot be computed. */
export function diagnosticsOfPoint(loaded: LoadedRecipe, take: readonly string[]): Diagnostic[] {
  if (loaded.recipe === null) return [...loaded.findings];
  const errors = takenAtPoint(loaded.recipe, take).findings.filter(({ severity }) => severity === 'error');
  return distinctDiagnostics(placeFindings(loaded, errors));
}
