/** Why a text is no quantity; becomes a finding where it stands. */
export interface Problem {
  readonly ok: false;
  readonly code: QuantityCode;
  readonly message: string;
  readonly help: string | null;
}

export type QuantityCode =
  | 'number-invalid'
  | 'unit-missing'
  | 'unit-unknown'
  | 'unit-mismatch'
  | 'unit-ambiguous'
  | 'expression-invalid'
  | 'tolerance-invalid'
  | 'tolerance-too-wide'
  /** Never shown: the caller loads the engine and parses again. */
  | 'engine-needed';

/** Builds a problem. */
export function problem(code: QuantityCode, message: string, help: string | null = null): Problem {
  return { ok: false, code, message, help };
}

export const ENGINE_NEEDED: Problem = problem('engine-needed', 'the expression engine is not loaded');

/** A text in a message: in quotes, cut when it is long, without control characters. */
export function quoted(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
  const plain = text.replace(/[\u0000-\u001f\u007f-\u009f]/g, ' ');
  return `"${plain.length > 60 ? `${plain.slice(0, 57)}...` : plain}"`;
}
