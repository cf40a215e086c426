import type { ReleaseResult } from '../../analysis/release/release.ts';
import { counted, inChances } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { displayUnits, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { numberText, quantityText, settingText, signedPercent } from '../words/number-text.ts';
import { paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** The decision with its reasons first, then what it rests on. */
export function renderRelease(release: ReleaseResult, view: View, recipe: Recipe): string {
  return [decision(release, view), evidence(release, view, recipe), readings(release, view), made(release, view)].join(
    '\n\n',
  );
}

function decision(r: ReleaseResult, view: View): string {
  const word = r.decision === 'reject' ? view.style.error('reject') : view.style.good(r.decision);
  const trim = r.trim === null ? [] : trimLines(r.trim, view);
  const more =
    r.more_readings === null
      ? []
      : [
          `  ${r.more_readings} more ${r.more_readings === 1 ? 'reading like these' : 'readings like these'} would settle it.`,
        ];
  const reasons = r.reasons.map(({ text }) => paragraph(`${capitalised(text)}.`, view.columns, '  '));
  return [`Decision: ${word}`, ...reasons, ...trim, ...more].join('\n');
}

/** The program to set, and what becomes of the shots with it. */
function trimLines(trim: NonNullable<ReleaseResult['trim']>, view: View): string[] {
  const stages = trim.program.stages.map(stage => {
    const added = stage.add_s === 0 ? '' : `, add ${settingText(stage.add_s)} s every ${stage.every}`;
    return `  From shot ${stage.from_shot}: ${settingText(stage.first_dwell_s)} s${added}`;
  });
  const change = `${trim.change_s > 0 ? '+' : ''}${settingText(trim.change_s)} s, factor ${numberText(trim.factor, 4)}`;
  const good = trim.good_shots === null ? '' : `, ${trim.good_shots} shots within the tolerance`;
  const until = trim.end === null ? '' : `; it ends with shot ${trim.end.shot}, ${numberText(trim.end.age_min)} min`;
  const outcome = `Against the program in force ${change}. Worst error ${numberText(trim.worst_error_pct, 2)} %${good}${until}.`;
  return ['', 'Set this program, which counts its presses anew:', ...stages, paragraph(outcome, view.columns, '  ')];
}

function evidence(r: ReleaseResult, view: View, recipe: Recipe): string {
  const { pressure } = displayUnits(recipe);
  const [low, high] = r.interval_uL.map(v => numberText(v, 4));
  const tolerance = r.tolerance_pct === null ? '' : `, tolerance ${numberText(r.tolerance_pct)} %`;
  const shared = r.uncertainty.shared.filter(s => s.relative_pct > 0);
  return pairsText(
    [
      ['mean shot', `${numberText(r.mean_uL, 4)} µL, ${low} to ${high} µL with 95 % confidence`],
      ['window', `${r.window_uL.map(v => numberText(v, 4)).join(' to ')} µL`],
      ['aim', `${numberText(r.aim_uL, 4)} µL${tolerance}; the mean is ${signedPercent(r.error_to_aim_pct)} off`],
      ['scatter of readings', scatterText(r)],
      [
        '95 % of its shots',
        r.content_uL === null ? null : `${r.content_uL.map(v => numberText(v, 4)).join(' to ')} µL, by this scatter`,
      ],
      [
        'shared by all',
        shared.length === 0 ? null : shared.map(s => `${s.cause} ${numberText(s.relative_pct, 2)} %`).join(', '),
      ],
      ['checked at', `${pressureText(r.pressure_kPa, pressure)}, ${settingText(r.dwell_s)} s`],
      [
        'at',
        `shot ${r.shot} of the program, age ${quantityText(r.age_min, 'min')}, ${quantityText(r.temperature_C, 'degC')}`,
      ],
      ['by the recipe', r.predicted_uL === null ? null : `${numberText(r.predicted_uL, 4)} µL`],
      ['thickness', thicknessText(r)],
      ['with checks before', filteredText(r)],
      ['logged in', r.log ?? 'no log; name one with --log'],
    ],
    view,
  );
}

function scatterText({ scatter: { sd_rel: sd, predicted_rel: due, p } }: ReleaseResult): string | null {
  if (sd === null) return null;
  const chance = p === null ? '' : `, as much by chance in ${inChances(p)} of checks`;
  return `${numberText(sd * 100)} %; the recipe predicts ${numberText(due * 100)} %${chance}`;
}

function thicknessText({ thickness }: ReleaseResult): string | null {
  if (thickness === null) return null;
  const { estimate, low, high } = thickness;
  const ends = high === null ? `${numberText(low)} or more` : `${numberText(low)} to ${numberText(high)}`;
  return `${numberText(estimate)} times that of the recipe, ${ends}`;
}

function filteredText({ filtered }: ReleaseResult): string | null {
  if (filtered === null) return null;
  const { estimate, low, high, gain, checks } = filtered;
  return `${numberText(estimate)} times, ${numberText(low)} to ${numberText(high)}; this check weighs ${numberText(gain * 100, 2)} %, ${counted(checks, 'check')} before the rest`;
}

function readings(r: ReleaseResult, view: View): string {
  const unit = r.readings[0]?.unit ?? 'mm';
  const what = unit === 'mm' ? 'dot' : 'weighing';
  const heads = [what, `read ${unit}`, 'one shot µL'];
  const rows = r.readings.map((reading, i) => [
    String(i + 1),
    settingText(reading.reading),
    numberText(reading.volume_uL, 4),
  ]);
  const table = tableText(
    heads.map(head => ({ head, align: 'right' as const })),
    rows,
    view,
  );
  return `${table}\n(${counted(r.shots_per_reading, 'shot')} each)`;
}

function made(r: ReleaseResult, view: View): string {
  const rule = paragraph(
    `Rule: used only when every shot left keeps its whole 95 % interval inside the window and its estimate within the tolerance of the aim; a trim may correct ${numberText(r.trim_limit_pct)} % at most.`,
    view.columns,
  );
  return [rule, madeBy(r.models, r.defaults, view)].filter(text => text !== '').join('\n');
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
