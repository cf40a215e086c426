import { byPosition, type Diagnostic } from '../diagnostics/finding.ts';

/**
 * Diagnostics of several recipes in order of place, each once: what is wrong with a part is found again with every
 * recipe that starts from it.
 */
export function distinctDiagnostics<T extends Diagnostic>(diagnostics: readonly T[]): T[] {
  const seen = new Set<string>();
  return [...diagnostics].sort(byPosition).filter(d => {
    const key = JSON.stringify([d.code, d.file, d.line, d.column, d.path, d.message]);
    return seen.has(key) ? false : seen.add(key);
  });
}
