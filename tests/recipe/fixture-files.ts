import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Diagnostic } from '../../src/diagnostics/finding.ts';

export const FIXTURES = join(import.meta.dirname, '..', 'fixtures');

/** Recipe files of a fixture folder, without the parts. */
export function fixtureNames(folder: 'ok' | 'err'): string[] {
  return readdirSync(join(FIXTURES, folder))
    .filter(name => name.endsWith('.yaml'))
    .sort();
}

/** `line:col: message [code]`, with the file in front where it is not the recipe itself. */
export function findingLine(d: Diagnostic, file: string): string {
  const where = d.file === file ? '' : `${d.file.slice(d.file.lastIndexOf('/parts/') + 1)}:`;
  return `${where}${d.line}:${d.column}: ${d.message} [${d.code}]`;
}
