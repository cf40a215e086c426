import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** The folder, beside the built program, of what it reads after its start; the build puts the name here. */
declare const BUILT_PARTS: string;

/**
 * What tells this program from every other that may compute other numbers: SHA-256 [hex] of its own code, of the version
 * of Node and of the machine's kind. Null for a program that runs from its source, which changes while it is looked at.
 */
export function programIdentity(): string | null {
  if (typeof BUILT_PARTS === 'undefined') return null;
  const folder = import.meta.dirname;
  const parts = join(folder, BUILT_PARTS);
  const hash = process.getBuiltinModule('node:crypto').createHash('sha256');
  hash.update(`${process.version} ${process.arch} ${process.platform}`);
  const late = readdirSync(parts).filter(name => name.endsWith('.cjs'));
  for (const file of [join(folder, 'dwellbook.cjs'), ...late.sort().map(name => join(parts, name))]) {
    hash.update(readFileSync(file));
  }
  return hash.digest('hex');
}
