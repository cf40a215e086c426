import type { FollowCheckKeys, FollowResult } from '../../analysis/follow/follow.ts';
import { madeBy } from '../words/made-by.ts';
import { NONE, numberText, settingText, signedPercent } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** Rows of the table: the last checks, which is what a line looks at. */
const SHOWN = 12;

const WORDS: Readonly<Record<FollowResult['action'], string>> = {
  keep: 'keep the program',
  set: 'set this program, which counts its presses anew',
  stop: 'stop',
};

/** What to do first, then how thick the syringe was found from check to check. */
export function renderFollow(result: FollowResult, view: View): string {
  return blocksText([action(result, view), numbers(result, view), table(result, view), made(result, view)]);
}

function action(r: FollowResult, view: View): string {
  const word = r.action === 'stop' ? view.style.error(WORDS.stop) : view.style.good(WORDS[r.action]);
  const text = `${r.reason.text.charAt(0).toUpperCase()}${r.reason.text.slice(1)}.`;
  const stages = (r.program?.stages ?? []).map(stage => {
    const added = stage.add_s === 0 ? '' : `, add ${settingText(stage.add_s)} s every ${stage.every}`;
    return `  From shot ${stage.from_shot}: ${settingText(stage.first_dwell_s)} s${added}`;
  });
  return [
    paragraph(`After the last check: ${word}`, view.columns),
    paragraph(text, view.columns, '  '),
    ...stages,
  ].join('\n');
}

function numbers(r: FollowResult, view: View): string {
  const { estimate, low, high } = r.thickness;
  return pairsText(
    [
      ['thickness', `${numberText(estimate)} times that of the recipe, ${numberText(low)} to ${numberText(high)}`],
      [
        'shots left',
        r.error_pct === null ? null : `${signedPercent(r.error_pct)} off the aim with the program in force`,
      ],
      ['nothing is set', r.dead_band_pct === null ? null : `up to ${numberText(r.dead_band_pct)} %`],
      ['dwell in force', `${settingText(r.before_s)} s`],
      ['drift', `${numberText(r.drift_pct)} % in an hour`],
    ],
    view,
  );
}

function table({ checks }: FollowResult, view: View): string {
  const heads = ['time', 'syringe', 'shot', 'alone', 'weight', 'filtered', 'low', 'high', 'decided'];
  const align = heads.map((head, i) => ({ head, align: i < 2 || i === 8 ? ('left' as const) : ('right' as const) }));
  const rows = checks.slice(-SHOWN).map(rowOf);
  const left = checks.length - rows.length;
  const note = left > 0 ? `\n(${left} checks before are in --json)` : '';
  return `${tableText(align, rows, view)}${note}`;
}

function rowOf(c: FollowCheckKeys): string[] {
  const time = c.time.slice(5, 16).replace('T', ' ');
  const alone = c.thickness === null ? NONE : numberText(c.thickness);
  const filtered = [c.filtered, c.low, c.high].map(value => numberText(value));
  return [time, c.syringe, String(c.shot), alone, `${numberText(c.gain * 100, 2)} %`, ...filtered, c.decision];
}

function made(r: FollowResult, view: View): string {
  return madeBy(r.models, r.defaults, view);
}
