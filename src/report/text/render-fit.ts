import type { FitResult } from '../../analysis/fit/fit.ts';
import type { FittedModel } from '../../analysis/fit/fit-model.ts';
import type { FitEstimate } from '../../analysis/fit/fit-report.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { textChart } from '../chart/text-chart.ts';
import { displayUnits, pressureNumber } from '../words/display-units.ts';
import { intervalText } from '../words/estimate-text.ts';
import { NONE, numberText, settingText, signedPercent } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** The calibration with its intervals, how well it fits, and the rows one by one. */
export function renderFit(fit: FitResult & { readonly written: string | null }, view: View, recipe: Recipe): string {
  return blocksText([
    estimates(fit.parameters, view),
    quality(fit, view),
    models(fit.models, view),
    picture(fit, view),
    rows(fit, view, recipe),
  ]);
}

/** Models of a flow curve or a cure curve, the best in full. */
export function renderFittedModels(
  fit: {
    readonly models: readonly (FittedModel & { readonly shot_uL?: number | null })[];
    readonly points: number;
    readonly written: string | null;
  },
  view: View,
): string {
  const shots = fit.models.some(m => (m.shot_uL ?? null) !== null);
  const heads = [
    { head: 'model' },
    { head: 'AICc', align: 'right' as const },
    { head: 'scatter %', align: 'right' as const },
    ...(shots ? [{ head: 'shot µL', align: 'right' as const }] : []),
    { head: 'remark' },
  ];
  const cells = fit.models.map(m => [
    m.name,
    numberText(m.aicc, 4),
    m.residual_sd === null ? NONE : numberText(100 * m.residual_sd),
    ...(shots ? [numberText(m.shot_uL ?? null, 4)] : []),
    m.note ?? '',
  ]);
  const best = fit.models[0];
  const inFull =
    best === undefined || best.parameters.length === 0
      ? ''
      : `${view.style.strong(best.name)}\n${estimates(best.parameters, view)}`;
  const kept = pairsText(
    [
      ['points', String(fit.points)],
      ['written into', fit.written],
    ],
    view,
  );
  return blocksText([tableText(heads, cells, view), inFull, kept]);
}

function estimates(parameters: readonly FitEstimate[], view: View): string {
  const cells = parameters.map(p => [
    p.name,
    numberText(p.estimate, 4),
    p.fixed ? 'kept' : intervalText(p),
    p.standard_error === null ? NONE : numberText(p.standard_error),
  ]);
  return tableText(
    [
      { head: 'parameter' },
      { head: 'estimate', align: 'right' },
      { head: '95 % interval' },
      { head: 'standard error', align: 'right' },
    ],
    cells,
    view,
  );
}

function quality(fit: FitResult & { readonly written: string | null }, view: View): string {
  const percent = (value: number | null) => (value === null ? null : `${numberText(100 * value)} %`);
  const lack = fit.lack_of_fit_p;
  return pairsText(
    [
      ['rows', `${fit.rows}, ${fit.degrees_of_freedom} degrees of freedom`],
      ['scatter', percent(fit.residual_sd)],
      ['replicates alone', percent(fit.pure_error_sd)],
      [
        'lack of fit',
        lack === null
          ? untoldLack(fit)
          : `p = ${numberText(lack, 2)}${lack < 0.05 ? ', it shows' : ', it does not show'}`,
      ],
      [
        'drift along the rows',
        fit.run_order === null
          ? null
          : `${signedPercent(fit.run_order.drift_pct)} a row, p = ${numberText(fit.run_order.p, 2)}`,
      ],
      ['weights', fit.weights],
      ['written into', fit.written],
    ],
    view,
  );
}

/** Why there is no test of the model: nothing scatters, or no degrees of freedom are left for it or for the scatter. */
function untoldLack(fit: FitResult): string {
  if (fit.residual_sd !== null && fit.residual_sd < 1e-9) return 'not told: the rows do not scatter';
  return 'not told: it takes repeated settings, and more settings than parameters';
}

function models(list: FitResult['models'], view: View): string {
  if (list.length < 2) return '';
  return tableText(
    [{ head: 'fitted parameters' }, { head: 'AICc', align: 'right' }],
    list.map(m => [m.name, numberText(m.aicc, 4)]),
    view,
  );
}

function picture(fit: FitResult, view: View): string {
  const plain = fit.residuals.filter(r => !r.outlier);
  const apart = fit.residuals.filter(r => r.outlier);
  const point = (r: FitResult['residuals'][number]) => [r.model_uL, r.residual_pct] as const;
  return textChart({
    title: view.style.strong('Residuals'),
    xLabel: 'shot µL by the fit',
    yLabel: '% above the fit',
    series: [
      { name: 'row', points: plain.map(point) },
      { name: 'outlier', points: apart.map(point) },
    ],
    rules: [{ at: 0, name: '' }],
    width: Math.min(view.columns, 100),
    height: 14,
  });
}

const SHOWN = 40;

function rows(fit: FitResult, view: View, recipe: Recipe): string {
  const { pressure } = displayUnits(recipe);
  const cells = fit.residuals
    .slice(0, SHOWN)
    .map(r => [
      String(r.line),
      pressureNumber(r.pressure_kPa, pressure),
      settingText(r.dwell_s),
      numberText(r.measured_uL, 4),
      numberText(r.model_uL, 4),
      signedPercent(r.residual_pct),
      numberText(r.leverage, 2),
      r.outlier ? view.style.warning('apart') : '',
    ]);
  const heads = ['line', pressure.name, 'dwell s', 'shot µL', 'fit µL', 'residual', 'leverage', ''];
  const table = tableText(
    heads.map(head => ({ head, align: head === '' ? ('left' as const) : ('right' as const) })),
    cells,
    view,
  );
  return fit.residuals.length > SHOWN ? `${table}\n(${fit.residuals.length - SHOWN} more; --json has all)` : table;
}
