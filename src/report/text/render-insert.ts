import type { InsertionKeys, InsertResult } from '../../analysis/insert/insert.ts';
import { madeBy } from '../words/made-by.ts';
import { numberText, quantityText } from '../words/number-text.ts';
import { paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

const MEANING =
  'What the fibre displaces in the bore goes ahead of it onto the end face, as part of the final bead; the rest of the resin moves back along the cable, and its front stands at the reach once the fibre is in. Push steadily, below the greatest speed: a fibre that buckles breaks or is scratched. Fibre ends are sharp.';

/** The fibre in its bore, then drag and speed by age. */
export function renderInsert(result: InsertResult, view: View): string {
  const { fibres, fibre_um, bore_um, gap_um, wetted_mm, buckling_N, free_fibre_mm } = result;
  const facts = pairsText(
    [
      [
        'fibre in its bore',
        `${numberText(fibre_um, 4)} µm in ${numberText(bore_um, 4)} µm, gap ${numberText(gap_um)} µm`,
      ],
      ['fibres', fibres === 1 ? null : `${fibres} at once; what follows is of one of them`],
      ['wetted length', quantityText(wetted_mm, 'mm')],
      [
        'buckles at',
        `${quantityText(buckling_N, 'N')}, ${quantityText(free_fibre_mm, 'mm')} of free fibre with pinned ends`,
      ],
    ],
    view,
  );
  const rows: string[][] = [rowOf(result)];
  if (result.last !== null) rows.push(rowOf(result.last));
  const heads = ['age min', 'Pa.s', 'drag N/(mm/s)', 'off the axis', 'greatest mm/s', 'off the axis'];
  const table = tableText(
    heads.map(head => ({ head, align: 'right' as const })),
    rows,
    view,
  );
  return [facts, table, paragraph(MEANING, view.columns), madeBy(result.models, result.defaults, view)].join('\n\n');
}

function rowOf(at: InsertionKeys): string[] {
  return [
    numberText(at.age_min),
    numberText(at.viscosity_Pa_s),
    numberText(at.drag_N_per_mm_s),
    numberText(at.drag_eccentric_N_per_mm_s),
    numberText(at.greatest_speed_mm_s.centred),
    numberText(at.greatest_speed_mm_s.eccentric),
  ];
}
