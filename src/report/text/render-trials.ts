import type { TrialsResult } from '../../analysis/trials/trials.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DisplayUnit, displayUnits, pressureNumber } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { NONE, numberText, settingText } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** What the trial is, what it will know, and the first of its runs. */
export function renderTrials(trials: TrialsResult, view: View, recipe: Recipe): string {
  const { pressure } = displayUnits(recipe);
  return blocksText([
    summary(trials, pressure, view),
    precision(trials, view),
    tellings(trials, view),
    runTable(trials, pressure, view),
    madeBy(trials.models, trials.defaults, view),
  ]);
}

function summary(t: TrialsResult, unit: DisplayUnit, view: View): string {
  const pressures = t.pressures_kPa.map(p => pressureNumber(p, unit)).join(', ');
  const what = t.by === 'mass' ? 'weighings' : 'dots';
  const from = { recipe: 'by the recipe', given: 'as given', assumed: 'assumed' }[t.repeatability_from];
  return pairsText(
    [
      ['pressures', `${pressures} ${unit.name}`],
      ['dwells', `${t.dwells_s.map(d => settingText(d)).join(', ')} s`],
      ['ages', `${t.ages_min.map(a => settingText(a, 4)).join(', ')} min`],
      [what, `${t.runs.length}: each setting ${t.replicates} times, ${t.shots_per_weighing} shots together`],
      ['order', `random within an age, seed ${t.seed}`],
      ['repeatability', `${numberText(t.repeatability_rel * 100)} % from shot to shot, ${from}`],
      [
        'takes',
        `${numberText(t.duration_min)} min and ${numberText(t.resin_mL)} mL of resin${t.syringes === null ? '' : ` (${counted(t.syringes, 'syringe')})`}`,
      ],
      ['run sheet', t.table ?? 'not written; name it with -o'],
      ['to write on', t.sheet],
    ],
    view,
  );
}

function precision(t: TrialsResult, view: View): string {
  const rows = t.precision.map(p => [
    p.name,
    p.half_width === null ? 'cannot be told' : `± ${numberText(p.half_width)}`,
    p.wanted === null ? NONE : `± ${numberText(p.wanted)}`,
    p.reached === null ? NONE : p.reached ? view.style.good('yes') : view.style.warning('no'),
  ]);
  return tableText(
    [{ head: 'a fit will know' }, { head: '95 % interval' }, { head: 'wanted' }, { head: 'reached' }],
    rows,
    view,
  );
}

function tellings(t: TrialsResult, view: View): string {
  const list = (head: string, lines: readonly string[]) =>
    lines.length === 0 ? [] : [view.style.strong(head), ...lines.map(line => item(line, view))];
  return [...list('Tells', t.can_tell), ...list('Cannot tell', t.cannot_tell)].join('\n');
}

function item(line: string, view: View): string {
  return `  - ${paragraph(line, view.columns, '    ').trimStart()}`;
}

const SHOWN = 8;

function runTable(t: TrialsResult, unit: DisplayUnit, view: View): string {
  const rows = t.runs
    .slice(0, SHOWN)
    .map(r => [
      String(r.run),
      pressureNumber(r.pressure_kPa, unit),
      settingText(r.dwell_s),
      settingText(r.age_min, 4),
      String(r.shots),
      numberText(r.expected_mm ?? r.expected_mg, 3),
    ]);
  const heads = ['run', unit.name, 'dwell s', 'age min', 'shots', t.by === 'mass' ? 'expected mg' : 'expected mm'];
  const table = tableText(
    heads.map(head => ({ head, align: 'right' as const })),
    rows,
    view,
  );
  return t.runs.length > SHOWN ? `${table}\n(${t.runs.length - SHOWN} more in the run sheet)` : table;
}
