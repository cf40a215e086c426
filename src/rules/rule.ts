import { type CodeText, findingOf } from '../diagnostics/codes/coded.ts';
import type { Finding } from '../diagnostics/finding.ts';
import type { RuleContext } from './rule-context.ts';

/** An engineering rule: looks at a recipe whose shape is sound and says what is wrong with it. */
export interface Rule {
  /** Stable, kebab-case, never renamed. */
  readonly code: string;
  readonly text: CodeText;
  check(context: RuleContext): readonly Finding[];
}

/** Builds a finding of the rule; `help` says something more to the point than its remedy where it can. */
export type Say = (path: string | null, message: string, help?: string) => Finding;

/** A rule from its code and what it looks at. It judges only the blocks that the recipe has. */
export function rule(code: string, text: CodeText, look: (context: RuleContext, say: Say) => readonly Finding[]): Rule {
  const found = findingOf({ [code]: text });
  return { code, text, check: context => look(context, (...said) => found(code, ...said)) };
}
