import type { Finding } from '../diagnostics/finding.ts';
import { didYouMean } from '../diagnostics/suggestion.ts';
import type { Silence } from '../recipe/recipe.ts';
import { CATALOGUE } from './catalogue.ts';
import { silenceUnknown, silenceUnused, silenceWithoutReason } from './codes-silence.ts';

/** A finding that the recipe does not want to hear, and why. */
export interface Silenced {
  readonly finding: Finding;
  readonly reason: string;
}

export interface Judged {
  readonly findings: readonly Finding[];
  readonly silenced: readonly Silenced[];
}

/** The findings whose code the recipe does not silence. A silence without a reason silences nothing. */
export function withoutSilenced(silence: readonly Silence[], findings: readonly Finding[]): Finding[] {
  const reasons = reasonsOf(silence);
  return findings.filter(({ code }) => !reasons.has(code));
}

/** Findings parted by `silence`, with what there is to say about the silences themselves. */
export function withSilence(silence: readonly Silence[], findings: readonly Finding[]): Judged {
  if (silence.length === 0) return { findings, silenced: [] };
  const reasons = reasonsOf(silence);
  const heard = findings.filter(({ code }) => !reasons.has(code));
  const silenced = findings.flatMap(finding => {
    const reason = reasons.get(finding.code);
    return reason === undefined ? [] : [{ finding, reason }];
  });
  const found = new Set(findings.map(({ code }) => code));
  return { findings: [...heard, ...silence.flatMap((entry, i) => silenceFindings(entry, silence.slice(0, i), found))], silenced };
}

function reasonsOf(silence: readonly Silence[]): Map<string, string> {
  const reasons = new Map<string, string>();
  for (const { code, reason } of silence) {
    if (reason === undefined || reason.trim() === '' || CATALOGUE[code]?.silenced !== 'check') continue;
    if (!reasons.has(code)) reasons.set(code, reason);
  }
  return reasons;
}

function silenceFindings(entry: Silence, before: readonly Silence[], found: ReadonlySet<string>): Finding[] {
  const { code, path, reason } = entry;
  const facts = CATALOGUE[code];
  if (facts === undefined) {
    const near = didYouMean(code, Object.keys(CATALOGUE));
    const help = near ?? '`dwellbook explain` lists the codes';
    return [silenceUnknown(`${path}.code`, `no finding has the code "${code}"`, help)];
  }
  if (facts.silenced === 'never') {
    return [silenceUnused(`${path}.code`, `"${code}" cannot be silenced: ${facts.cannot}`, 'remove the entry')];
  }
  if (reason === undefined || reason.trim() === '') {
    return [silenceWithoutReason(path, `"${code}" is silenced without a reason, so it is not silenced`)];
  }
  if (before.some(other => other.code === code)) {
    return [silenceUnused(`${path}.code`, `"${code}" is silenced twice`, 'remove one of the two')];
  }
  if (facts.silenced === 'check' && !found.has(code)) {
    return [silenceUnused(`${path}.code`, `"${code}" is silenced, but nothing of the kind was found`)];
  }
  return [];
}
