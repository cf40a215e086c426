import type { CheckInput } from '../../report/check/check-input.ts';

/** The ways to report a check; each module is read when its format is asked for. */
export const FORMATS = {
  text: async (input: CheckInput) => (await import('../../report/check/render-check.ts')).checkText(input),
  json: async (input: CheckInput) => (await import('../../report/check/check-json.ts')).checkJson(input),
  jsonl: async (input: CheckInput) => (await import('../../report/check/check-jsonl.ts')).checkJsonLines(input),
  sarif: async (input: CheckInput) => (await import('../../report/check/check-sarif.ts')).checkSarif(input),
  junit: async (input: CheckInput) => (await import('../../report/check/check-junit.ts')).checkJunit(input),
  github: async (input: CheckInput) => (await import('../../report/check/check-github.ts')).checkGithub(input),
} as const;

export type FormatName = keyof typeof FORMATS;

export function isFormatName(text: string): text is FormatName {
  return Object.hasOwn(FORMATS, text);
}
