import type { PooledResult } from '../../analysis/batch/pooled-batch.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { costText } from '../text/render-batch.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, numberText, settingText } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** What several recipes need that share kits and syringes, and what each syringe is used for. */
export function renderPooled(b: PooledResult, view: View): string {
  const days = Math.max(...b.members.map(({ last_day }) => last_day)) > 1;
  const moment = (at: string, day: number) => (days ? `day ${day} ${at}` : at);
  const kit = `${numberText(b.kit_mL)} mL${b.kit_g === null ? '' : ` = ${numberText(b.kit_g)} g`}`;
  const names = new Map(b.members.map(({ recipe, name }) => [recipe, name ?? recipe]));
  const alone =
    b.alone === null
      ? null
      : `${counted(b.alone.kits, 'kit')}, ${counted(b.alone.syringes, 'syringe')}, ${numberText(b.alone.resin_wasted_mL)} mL wasted, ${fixedText(b.alone.resin_wasted_pct, 1)} %`;
  const rows = b.schedule.flatMap(({ syringe, kit: number, parts, ended_by }) =>
    parts.map((part, i) => [
      i === 0 ? String(syringe) : '',
      i === 0 ? String(number) : '',
      names.get(part.recipe) ?? part.recipe,
      String(part.connectors),
      moment(part.first_at, part.first_day),
      moment(part.last_at, part.last_day),
      numberText(part.last_age_min),
      i === parts.length - 1 ? (ended_by === 'batch' ? 'batch done' : ended_by) : 'changeover',
    ]),
  );
  const right = (head: string) => ({ head, align: 'right' as const });
  return blocksText([
    pairsText(
      [
        ['resin', b.resin],
        ...b.members.map(
          m =>
            [
              m.name ?? m.recipe,
              `${m.connectors} good, ${m.connectors_started} started, ${moment(m.first_at, m.first_day)} to ${moment(m.last_at, m.last_day)}`,
            ] as const,
        ),
        [
          'kits',
          `${view.style.strong(String(b.kits))} of ${kit}, mixed at ${b.mixes.map(m => moment(m.at, m.day)).join(', ')}`,
        ],
        ['syringes', `${view.style.strong(String(b.syringes))}, filled with ${numberText(b.fill_mL)} mL`],
        ['needles', String(b.needles)],
        ['resin wasted', `${numberText(b.resin_wasted_mL)} mL, ${fixedText(b.resin_wasted_pct, 1)} % of what is mixed`],
        ['each by itself', alone],
        ['cost', costText(b)],
        ['work', `${moment(b.start, b.start_day)} (first mixing) to ${moment(b.finish, b.finish_day)}`],
      ],
      view,
    ),
    tableText(
      [
        right('syringe'),
        right('kit'),
        { head: 'recipe' },
        right('connectors'),
        { head: 'first' },
        { head: 'last' },
        right('age min'),
        { head: 'ends with' },
      ],
      rows,
      view,
    ),
    paragraph(
      `Recipes are made in the order given, by one station; between two of them it takes ${settingText(b.changeover_min)} min. A syringe goes on through the changeover while it is neither empty nor too old for the next connector; a member with another needle primes it anew.`,
      view.columns,
    ),
    madeBy(b.models, b.defaults, view),
  ]);
}
