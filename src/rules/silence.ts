import { withoutConsequences } from '../diagnostics/consequences.ts';
import type { Finding } from '../diagnostics/finding.ts';
import type { Silence } from '../recipe/schema/recipe.ts';

/** Codes that are silenced, with the reason; an entry without one silences nothing. */
export function silenceReasons(silence: readonly Silence[]): ReadonlyMap<string, string> {
  const reasons = new Map<string, string>();
  for (const { code, reason } of silence) {
    if (reason !== undefined && reason.trim() !== '' && !reasons.has(code)) reasons.set(code, reason);
  }
  return reasons;
}

/**
 * The findings that are said: those whose code the recipe does not silence, less what follows from an error among them. An error
 * that is silenced explains nothing, so that what follows from it is said.
 */
export function toBeSaid(silence: readonly Silence[], findings: readonly Finding[]): readonly Finding[] {
  if (silence.length === 0) return withoutConsequences(findings);
  const reasons = silenceReasons(silence);
  return withoutConsequences(findings.filter(({ code }) => !reasons.has(code)));
}
