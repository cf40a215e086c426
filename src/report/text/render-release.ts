import type { ReleaseResult } from '../../analysis/release/release.ts';
import { counted } from '../../diagnostics/number-words.ts';
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
  const trim =
    r.trim === null
      ? []
      : [
          `  Set the dwell to ${settingText(r.trim.dwell_s)} s (${r.trim.change_s > 0 ? '+' : ''}${settingText(r.trim.change_s)} s, factor ${numberText(r.trim.factor, 4)}).`,
        ];
  const more =
    r.more_readings === null
      ? []
      : [
          `  ${r.more_readings} more ${r.more_readings === 1 ? 'reading like these' : 'readings like these'} would settle it.`,
        ];
  const reasons = r.reasons.map(reason => paragraph(`${capitalised(reason)}.`, view.columns, '  '));
  return [`Decision: ${word}`, ...reasons, ...trim, ...more].join('\n');
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
      ['scatter of readings', r.uncertainty.scatter_pct === null ? null : `${numberText(r.uncertainty.scatter_pct)} %`],
      [
        'shared by all',
        shared.length === 0 ? null : shared.map(s => `${s.cause} ${numberText(s.relative_pct, 2)} %`).join(', '),
      ],
      ['checked at', `${pressureText(r.pressure_kPa, pressure)}, ${settingText(r.dwell_s)} s`],
      ['age, temperature', `${quantityText(r.age_min, 'min')}, ${quantityText(r.temperature_C, 'degC')}`],
      [
        'predicted',
        r.predicted_uL === null
          ? null
          : `${numberText(r.predicted_uL, 4)} µL: as if ${numberText(r.implied_viscosity_factor)} times as thick`,
      ],
      ['logged in', r.log ?? 'no log; name one with --log'],
    ],
    view,
  );
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
    `Rule: released only when the whole 95 % interval lies inside the window and the mean within the tolerance of the aim; a trim may correct ${numberText(r.trim_limit_pct)} % at most.`,
    view.columns,
  );
  return [rule, madeBy(r.models, r.defaults, view)].filter(text => text !== '').join('\n');
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
