import type { Finding } from '../finding.ts';
import { deliveryFinding } from './delivery-codes.ts';

/** What a computation says when the recipe lacks a block or key it needs; the path names the missing key. */
export function blockMissing(path: string, purpose: string, help = `add \`${path}\``): Finding {
  return deliveryFinding('block-missing', path, `${purpose} needs \`${path}\`, which the recipe does not have`, help);
}
