import { visibleJson } from '../../diagnostics/visible-text.ts';
import type { CheckInput } from './check-input.ts';

/** One line of JSON a finding, the recipe it was found in first; nothing for no findings. */
export function checkJsonLines({ checked }: CheckInput): string {
  return checked
    .flatMap(({ file, diagnostics }) =>
      diagnostics.map(d => `${visibleJson(JSON.stringify({ recipe: file, ...d }))}\n`),
    )
    .join('');
}
