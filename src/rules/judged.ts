import { silenceFinding } from '../diagnostics/codes/silence-codes.ts';
import type { Finding } from '../diagnostics/finding.ts';
import { didYouMean } from '../diagnostics/suggestion.ts';
import type { Silence } from '../recipe/schema/recipe.ts';
import { CATALOGUE } from './catalogue.ts';
import { silenceReasons, toBeSaid } from './silence.ts';

/** A finding that the recipe does not want to hear, and why. */
export interface Silenced {
  readonly finding: Finding;
  readonly reason: string;
}

export interface Judged {
  readonly findings: readonly Finding[];
  readonly silenced: readonly Silenced[];
}

/** Findings parted by the recipe's silences and without what follows from an error said, with what there is to say about the silences themselves. */
export function judged(silence: readonly Silence[], findings: readonly Finding[]): Judged {
  if (silence.length === 0) return { findings: toBeSaid(silence, findings), silenced: [] };
  const reasons = silenceReasons(silence);
  const silenced = findings.flatMap(finding => {
    const reason = reasons.get(finding.code);
    return reason === undefined ? [] : [{ finding, reason }];
  });
  const found = new Set(findings.map(({ code }) => code));
  const about = silence.flatMap((entry, i) => entryFindings(entry, silence.slice(0, i), found));
  return { findings: [...toBeSaid(silence, findings), ...about], silenced };
}

function entryFindings(entry: Silence, before: readonly Silence[], found: ReadonlySet<string>): Finding[] {
  const { code, reason } = entry;
  const path = `${entry.path}.code`;
  const facts = CATALOGUE[code];
  if (facts === undefined) {
    const near = didYouMean(code, Object.keys(CATALOGUE));
    const help = near ?? '`dwellbook explain` lists the codes';
    return [silenceFinding('silence-unknown', path, `no finding has the code "${code}"`, help)];
  }
  if (!facts.silenceable) {
    const why = code.startsWith('silence-') ? 'it is about a silence' : 'the file has to be mended first';
    return [silenceFinding('silence-unused', path, `"${code}" cannot be silenced: ${why}`)];
  }
  if (reason === undefined || reason.trim() === '') {
    const message = `"${code}" is listed without a reason, and so is not silenced`;
    return [silenceFinding('silence-without-reason', entry.path, message)];
  }
  if (before.some(other => other.code === code)) {
    return [silenceFinding('silence-unused', path, `"${code}" is silenced twice`)];
  }
  if (!facts.checked || found.has(code)) return []; // other commands know whether theirs is of use
  return [silenceFinding('silence-unused', path, `"${code}" is silenced, and nothing of the kind was found`)];
}
