import { type Finding, finding } from '../../diagnostics/finding.ts';

/** What a computation says when the recipe lacks a block or key it needs; the path names the missing key. */
export function blockMissing(path: string, purpose: string, help?: string): Finding {
  return finding(
    'error',
    'block-missing',
    path,
    `${purpose} needs \`${path}\`, which the recipe does not have`,
    help ?? `add \`${path}\``,
  );
}
