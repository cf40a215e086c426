import type { FamilyMemberKeys, FamilyResult } from '../../analysis/family/family.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { displayUnits, pressureNumber, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText, quantityText, settingText } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

const right = (head: string) => ({ head, align: 'right' as const });

/** What a family shares, each member's program, what sharing costs, and the gauge scale. */
export function renderFamily(found: FamilyResult, view: View, recipes: readonly Recipe[]): string {
  const unit = displayUnits(recipes[0]!).pressure;
  const shared = pairsText(
    [
      ['resin', found.resin],
      ['needle', view.style.strong(found.needle)],
      ['pressure', view.style.strong(pressureText(found.pressure_kPa, unit))],
      ['worst spread', percent(found.worst_spread_rel)],
      ['chosen by', found.why.join('; ')],
    ],
    view,
  );
  const cost = found.cost_of_sharing.map((alone, i) => [
    titleOf(found.members[i]!),
    alone.alone_needle,
    pressureNumber(alone.alone_pressure_kPa, unit),
    settingText(alone.alone_dwell_s),
    fixedText(alone.alone_spread_rel * 100, 2),
    fixedText(found.members[i]!.spread_rel * 100, 2),
  ]);
  const needles = found.needles.map(needle => [
    needle.chosen ? '*' : '',
    needle.needle,
    numberText(needle.bore_mm),
    needle.pressure_kPa === null ? NONE : pressureNumber(needle.pressure_kPa, unit),
    needle.worst_spread_rel === null ? NONE : fixedText(needle.worst_spread_rel * 100, 2),
    needle.because.join('; '),
  ]);
  return blocksText([
    shared,
    memberTable(found, view),
    tableText(
      [
        { head: 'alone it would have' },
        { head: 'needle' },
        right(unit.name),
        right('dwell s'),
        right('spread %'),
        right('shared %'),
      ],
      cost,
      view,
    ),
    tableText(
      [
        { head: '' },
        { head: 'needle' },
        right('bore mm'),
        right(unit.name),
        right('worst spread %'),
        { head: 'does not serve' },
      ],
      needles,
      view,
    ),
    gaugeText(found, view),
    pairsText([['card', found.file]], view),
    madeBy(found.models, found.defaults, view),
  ]);
}

function memberTable({ members }: FamilyResult, view: View): string {
  const rows = members.map(member => [
    titleOf(member),
    numberText(member.aim_uL),
    settingText(member.dwell_s),
    programText(member),
    fixedText(member.error_pct, 2),
    fixedText(member.program?.worst_error_pct ?? null, 1),
    fixedText(member.spread_rel * 100, 2),
    member.end === null ? NONE : `${member.end.shot}, ${quantityText(member.end.age_min, 'min')}`,
  ]);
  const heads = [right('error %'), right('worst %'), right('spread %'), { head: 'last shot' }];
  return tableText([{ head: 'member' }, right('aim µL'), right('dwell s'), { head: 'program' }, ...heads], rows, view);
}

/** The steps of a program in a cell: "0.72, +0.02 every 3". */
export function programText({ program }: FamilyMemberKeys): string {
  if (program === null) return NONE;
  return program.stages
    .map(({ from_shot, first_dwell_s, add_s, every }, i) => {
      const start = `${i === 0 ? '' : `from shot ${from_shot} `}${settingText(first_dwell_s)}`;
      return add_s === 0 ? start : `${start}, +${settingText(add_s)} every ${every}`;
    })
    .join('; ');
}

export function titleOf({ name, recipe }: FamilyMemberKeys): string {
  return name ?? recipe;
}

function gaugeText({ gauge, gauge_because, members }: FamilyResult, view: View): string {
  if (gauge === null) return pairsText([['gauge scale', `none: ${gauge_because}`]], view);
  const rings = gauge.rings.map(ring => `${settingText(ring.volume_uL)} µL ${fixedText(ring.diameter_mm, 2)} mm`);
  const rows = gauge.marks.map((mark, i) => [
    titleOf(members[i]!),
    ...[mark.min_uL, mark.aim_uL, mark.max_uL].map(volume => numberText(volume)),
    ...[mark.min_mm, mark.aim_mm, mark.max_mm].map(diameter => fixedText(diameter, 2)),
  ]);
  const head = pairsText(
    [
      ['gauge scale', rings.join(', ')],
      ['shots on a circle', String(gauge.shots_per_circle)],
    ],
    view,
  );
  const columns = ['min µL', 'aim µL', 'max µL', 'min mm', 'aim mm', 'max mm'].map(right);
  return `${head}\n\n${tableText([{ head: 'on the scale' }, ...columns], rows, view)}`;
}

function percent(relative: number): string {
  return `${numberText(relative * 100)} %`;
}
