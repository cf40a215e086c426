import { type Finding, finding, type Severity } from '../diagnostics/finding.ts';
import type { RuleContext } from './rule-context.ts';

/** What is known about a code of a finding; `explain` prints it. */
export interface CodeFacts {
  readonly severity: Severity;
  readonly title: string;
  /** Why it matters. */
  readonly why: string;
  /** What to do about it. */
  readonly remedy: string;
}

/** An engineering rule: looks at a recipe whose shape is sound and says what is wrong with it. */
export interface Rule extends CodeFacts {
  /** Stable, kebab-case, never renamed. */
  readonly code: string;
  check(context: RuleContext): readonly Finding[];
}

/** Builds a finding of the rule; `help` says something more to the point than its remedy where it can. */
export type Say = (path: string | null, message: string, help?: string) => Finding;

/** A rule from its facts and what it looks at. It judges only the blocks that the recipe has. */
export function rule(
  facts: CodeFacts & { readonly code: string },
  look: (context: RuleContext, say: Say) => readonly Finding[],
): Rule {
  const say: Say = (path, message, help) => finding(facts.severity, facts.code, path, message, help ?? facts.remedy);
  return { ...facts, check: context => look(context, say) };
}
