import type { CheckInput } from '../report/check-input.ts';

/** The ways to report a check; each module is read when its format is asked for. */
export const FORMATS = {
  text: async (input: CheckInput) => (await import('../report/render-check.ts')).checkText(input),
  json: async (input: CheckInput) => (await import('../report/check-json.ts')).checkJson(input),
} as const;

export type FormatName = keyof typeof FORMATS;

export function isFormatName(text: string): text is FormatName {
  return Object.hasOwn(FORMATS, text);
}
