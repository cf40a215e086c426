import type { RecalledCheck, RecallResult } from '../../analysis/trend/recall.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** Which syringes to act on, what was made with them, and which lines want a look by hand. */
export function renderRecall(found: RecallResult, view: View): string {
  const byHand = found.checks.filter(({ match }) => match === 'alike' || match === 'not written');
  const used = found.syringes.filter(syringe => syringe.used);
  const blocks = [
    pairsText(
      [
        found.lot !== null ? ['lot', found.lot] : ['syringe', found.syringe ?? ''],
        ['looked through', counted(found.lines, 'line')],
        ['syringes', `${found.syringes.length}, of which ${used.length} used`],
        ...found.recipes.map(({ recipe, syringes, first, last }): [string, string] => [
          'recipe',
          `${recipe}: ${counted(syringes, 'syringe')}, ${first} to ${last}`,
        ]),
        ...(found.complete ? [] : [['not all read', 'lines that could not be read may hold more'] as [string, string]]),
      ],
      view,
    ),
  ];
  if (found.syringes.length > 0) {
    const rows = found.syringes.map(s => [
      s.syringe || '(no name)',
      s.recipe,
      s.first,
      s.last,
      s.used ? 'used' : 'rejected',
    ]);
    blocks.push(
      tableText(
        [{ head: 'syringe' }, { head: 'recipe' }, { head: 'first check' }, { head: 'last check' }, { head: '' }],
        rows,
        view,
      ),
    );
  }
  if (byHand.length > 0)
    blocks.push(paragraph('To be looked at by hand:', view.columns), tableText(HEADS, byHand.map(row), view));
  return blocksText(blocks);
}

const HEADS = [{ head: 'line' }, { head: 'time' }, { head: 'syringe' }, { head: 'lot' }, { head: 'why' }];

const WHY = { alike: 'written alike', 'not written': 'nothing is written' } as Record<string, string>;

function row(check: RecalledCheck): string[] {
  return [`${check.file}:${check.line}`, check.time, check.syringe, check.lot, WHY[check.match] ?? ''];
}
