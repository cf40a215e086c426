import { type Finding, finding } from '../../diagnostics/finding.ts';
import { cavityCodes } from './codes-cavity.ts';

/** A finding of a code whose severity and remedy are on record; `help` says something more to the point where it can. */
export function coded(code: string, path: string | null, message: string, help?: string): Finding {
  const text = cavityCodes[code];
  if (text === undefined) throw new Error(`no such code: ${code}`);
  return finding(text.severity, code, path, message, help ?? text.remedy);
}
