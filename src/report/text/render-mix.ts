import type { MixResult } from '../../analysis/mix/mix.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { madeBy } from '../words/made-by.ts';
import { numberText, quantityText, weighedText } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText } from '../words/table.ts';
import type { View } from '../words/view.ts';

const CAUTION =
  'A mixed mass heats itself: fill the syringes at once, spread what is left thin, and never leave a large mass standing. Uncured resins and hardeners irritate and sensitise skin.';

/** What is weighed, how sure the ratio is, and how warm the mix gets. */
export function renderMix(mix: MixResult, view: View): string {
  return blocksText([weighing(mix, view), heat(mix, view), paragraph(CAUTION, view.columns), made(mix, view)]);
}

/** Nothing of it comes from a model where the heat is not worked out. */
function made(mix: MixResult, view: View): string {
  return mix.models.length === 0 ? '' : madeBy(mix.models, mix.defaults, view);
}

function weighing(mix: MixResult, view: View): string {
  const part = (grams: number, millilitres: number | null) =>
    `${view.style.strong(weighedText(grams, mix.scale_g))} g${millilitres === null ? '' : `, ${numberText(millilitres)} mL`}`;
  return pairsText(
    [
      ['kit', `${mix.kits === 1 ? '' : `${counted(mix.kits, 'kit')} of `}${quantityText(mix.mass_g, 'g', 4)}`],
      ['base', part(mix.base_g, mix.base_mL)],
      ['hardener', part(mix.hardener_g, mix.hardener_mL)],
      ['ratio by mass', `${numberText(mix.ratio, 4)} to 1, within ${numberText(mix.tolerance_pct)} %`],
      [
        'off by up to',
        mix.ratio_error_pct === null
          ? null
          : `${numberText(mix.ratio_error_pct)} %, each part weighed to ± ${numberText(mix.scale_g)} g`,
      ],
      ['least kit', mix.least_mass_g === null ? null : `${numberText(mix.least_mass_g)} g keeps the ratio`],
      ['mixing sheet', mix.sheet ?? 'not written; name it with -o'],
    ],
    view,
  );
}

function heat({ cup }: MixResult, view: View): string {
  if (cup === null) return '';
  return pairsText(
    [
      ['in the cup', `${numberText(cup.height_mm)} mm high, room at ${numberText(cup.room_C)} °C`],
      ['until used', `warms by ${numberText(cup.rise_until_ready_K)} K`],
      ['left standing', `${numberText(cup.peak_C)} °C after ${numberText(cup.peak_min)} min`],
      ['without losses', `warms by ${numberText(cup.adiabatic_rise_K)} K`],
      [
        'largest kit',
        cup.largest_mass_g === null
          ? 'no limit until it is used; then empty the cup'
          : `${numberText(cup.largest_mass_g)} g keeps to the rise until it is used`,
      ],
    ],
    view,
  );
}
