import { type Finding, finding, type Severity } from '../finding.ts';

/** One code in full, as `explain` shows it. */
export interface CodeText {
  readonly severity: Severity;
  readonly title: string;
  /** Why it matters. */
  readonly why: string;
  /** What to do about it. */
  readonly remedy: string;
  /** `check` can find it; the others come from one command or another. */
  readonly checked: boolean;
  /** A recipe can silence it, so that it is about the recipe as a whole and not about the file it stands in. */
  readonly silenceable: boolean;
}

function entries(about: Pick<CodeText, 'checked' | 'silenceable'>) {
  const of = (severity: Severity) => (title: string, why: string, remedy: string) =>
    ({ severity, title, why, remedy, ...about }) satisfies CodeText as CodeText;
  return { error: of('error'), warning: of('warning') };
}

/** Entry of a table for what `check` can find. */
export const byCheck = entries({ checked: true, silenceable: true });
/** Entry for what other commands find. */
export const byCommand = entries({ checked: false, silenceable: true });
/** Entry for what `check` can find and no recipe can silence. */
export const byCheckAlways = entries({ checked: true, silenceable: false });
/** Entry for what other commands find and no recipe can silence. */
export const byCommandAlways = entries({ checked: false, silenceable: false });

/**
 * The function that builds the findings of a table, with severity and remedy as they are on record; `help` stands in for
 * the remedy where it says something more to the point, and null leaves it out.
 */
export function findingOf<Code extends string>(table: Readonly<Record<Code, CodeText>>) {
  return (code: Code, path: string | null, message: string, help: string | null = table[code].remedy): Finding =>
    finding(table[code].severity, code, path, message, help);
}
