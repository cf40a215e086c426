import type { QualifyResult } from '../../analysis/trend/qualify.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { displayUnits, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { NONE, numberText, settingText } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** What a qualification rests on, and what is missing of it. */
export function renderQualify(found: QualifyResult, view: View, recipe: Recipe): string {
  const sizes = found.sample_sizes.map((size, i) => [
    i === 0 ? '*' : '',
    settingText(size.confidence_pct),
    settingText(size.reliability_pct),
    String(size.allowed),
    size.pieces === null ? NONE : String(size.pieces),
  ]);
  const right = (head: string) => ({ head, align: 'right' as const });
  return blocksText([
    pairsText(
      [
        ['inputs', found.digest],
        ['resin', found.resin],
        ['needle', found.needle],
        ['settings', settingsText(found, recipe)],
        ['gauge study', studyText(found)],
        ['trials', trialsText(found)],
        ['rehearsal', rehearsalText(found)],
        ['first pieces', piecesText(found)],
      ],
      view,
    ),
    tableText([{ head: '' }, right('confidence %'), right('good %'), right('may fail'), right('pieces')], sizes, view),
    found.open.length === 0
      ? ''
      : pairsText(
          found.open.map((what, i) => [i === 0 ? 'open' : '', what] as const),
          view,
        ),
    pairsText([['pack', found.file]], view),
    madeBy(found.models, found.defaults, view),
  ]);
}

/** Pressure, dwell and ramp as they are released. */
export function settingsText(found: QualifyResult, recipe: Recipe): string {
  if (found.pressure_kPa === null || found.dwell_s === null) return 'not released';
  const ramp = found.ramp.map(
    ({ from_shot, add_s, every }) => `from shot ${from_shot} ${settingText(add_s)} s more every ${every}`,
  );
  const setting = `${pressureText(found.pressure_kPa, displayUnits(recipe).pressure)}, ${settingText(found.dwell_s)} s`;
  return [setting, ...ramp].join('; ');
}

export function studyText({ gauge_study: study }: QualifyResult): string {
  if (study === null) return 'none';
  const made = `${counted(study.operators, 'operator')}, ${counted(study.parts, 'part')}, ${study.repeats} times each`;
  const share = study.study_pct === null ? '' : `, ${numberText(study.study_pct)} % of the variation`;
  const tolerance = study.tolerance_pct === null ? '' : `, ${numberText(study.tolerance_pct)} % of the tolerance`;
  const unit = study.unit === null ? '' : ` ${study.unit}`;
  return `${made}: gauge deviation ${numberText(study.gauge_rr_sd)}${unit}${share}${tolerance}`;
}

export function trialsText({ trials }: QualifyResult): string {
  if (trials === null) return 'none';
  const scatter = trials.residual_pct === null ? '' : `, scatter ${numberText(trials.residual_pct)} %`;
  const lack = trials.lack_of_fit_p === null ? '' : `, lack of fit p = ${numberText(trials.lack_of_fit_p, 2)}`;
  const parameters = trials.parameters.map(({ name, estimate, low, high }) =>
    low === null || high === null
      ? `${name} ${numberText(estimate)}`
      : `${name} ${numberText(estimate)} (${numberText(low)} to ${numberText(high)})`,
  );
  return `${counted(trials.rows, 'row')}${scatter}${lack}: ${parameters.join(', ')}`;
}

export function rehearsalText({ rehearsal }: QualifyResult): string {
  if (rehearsal === null) return 'not possible';
  const {
    connectors,
    syringes,
    outside_pct,
    outside_interval_pct: span,
    cpk,
    rejected_pct,
    missed_pct,
    seed,
  } = rehearsal;
  const outside =
    outside_pct === null
      ? ''
      : `${numberText(outside_pct, 2)} % outside (95 %: ${span!.map(v => numberText(v, 2)).join(' to ')} %)`;
  const rest = `${numberText(rejected_pct, 2)} % of the syringes rejected, ${numberText(missed_pct, 2)} % released with any outside`;
  return `${counted(connectors, 'connector')} of ${counted(syringes, 'syringe')}, seed ${seed}: ${outside}, Cpk ${numberText(cpk)}, ${rest}`;
}

export function piecesText({ first_pieces: first, sample_sizes: [aim] }: QualifyResult): string {
  if (first === null) return 'none';
  const shown =
    first.shown_reliability_pct === null
      ? ''
      : `: at least ${numberText(first.shown_reliability_pct)} % good with ${settingText(aim!.confidence_pct)} % confidence`;
  return `${counted(first.checks, 'check')}, ${first.rejected} rejected${shown}`;
}
