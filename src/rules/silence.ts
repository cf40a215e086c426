import type { Finding } from '../diagnostics/finding.ts';
import type { Silence } from '../recipe/recipe.ts';

/** The findings whose code the recipe does not silence. */
export function withoutSilenced(silence: readonly Silence[], findings: readonly Finding[]): Finding[] {
  const codes = new Set(silence.map(({ code }) => code));
  return findings.filter(({ code }) => !codes.has(code));
}
