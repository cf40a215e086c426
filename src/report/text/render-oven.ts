import type { OvenKeys, OvenResult } from '../../analysis/oven/oven.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

const MEANING =
  'The clock starts with the oven; a connector that waits before it is that much older (--age). Ovens and what comes out of them burn skin, and warm resin gives off vapour: gloves, ventilation, and temperatures as the data sheet has them.';

const BOUNDS = {
  gel: 'gel point',
  oven: 'end of the oven',
  resin: 'no resin left',
  gap: 'a wider gap',
  end: 'end of the cavity',
  wetting: 'it does not wet',
} as const;

/** First and last shot side by side. */
export function renderOven(result: OvenResult, view: View): string {
  return blocksText([
    facts(result, view),
    table(result, view),
    paragraph(MEANING, view.columns),
    madeBy(result.models, result.defaults, view),
  ]);
}

function facts(result: OvenResult, view: View): string {
  const { gap_um: gap, widest_gap_um: widest } = result;
  return pairsText(
    [
      ['oven', `${numberText(result.oven_min)} min, up to ${numberText(result.warmest_C)} °C`],
      [
        'glass transition',
        result.required_glass_C === null ? null : `${numberText(result.required_glass_C)} °C required`,
      ],
      ['greatest reach', result.reach_max_mm === null ? null : `${numberText(result.reach_max_mm)} mm`],
      [
        'gap behind it',
        gap === null ? null : `${numberText(gap)} µm a side, the widest that is filled ${numberText(widest)} µm`,
      ],
    ],
    view,
  );
}

function table(result: OvenResult, view: View): string {
  const both: OvenKeys[] = [result, ...(result.last === null ? [] : [result.last])];
  const row = (name: string, cell: (keys: OvenKeys) => string) => [name, ...both.map(cell)];
  const minutes = (value: number | null, never: string) => (value === null ? never : `${numberText(value)} min`);
  const known = (value: number | null, unit: string) => (value === null ? NONE : `${numberText(value)} ${unit}`);
  const percent = (share: number) => `${fixedText(share * 100, 1)} %`;
  const rows = [
    row('age', keys => minutes(keys.age_min, NONE)),
    row('conversion before', keys => percent(keys.conversion_start)),
    row('conversion after', keys => percent(keys.conversion_end)),
    row('gels after', keys => minutes(keys.gel_min, 'not')),
    row('glass transition', keys => known(keys.glass_end_C, '°C')),
    row('above the required', keys => known(keys.glass_margin_K, 'K')),
    row('glass stops it after', keys => minutes(keys.vitrified_min, 'never')),
    row('drawn in', keys => known(keys.wicking_mm, 'mm')),
    row('which ends with', keys => (keys.wicking_bound === null ? NONE : BOUNDS[keys.wicking_bound])),
    row('reach after', keys => known(keys.reach_end_mm, 'mm')),
    row('bead sinks', keys => known(keys.bead_recess_um, 'µm')),
  ];
  const heads = both.length === 1 ? ['at that age'] : ['first shot', 'last shot'];
  return tableText([{ head: '' }, ...heads.map(head => ({ head, align: 'right' as const }))], rows, view);
}
