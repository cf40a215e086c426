import type { GaugeRrResult } from '../../analysis/trend/gauge-rr.ts';
import { numberText, unitSign } from '../words/number-text.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** Where the scatter comes from, what that means, and the table of variances. */
export function renderGaugeRr(study: GaugeRrResult, view: View): string {
  return [components(study, view), summary(study, view), variances(study, view)]
    .filter(text => text !== '')
    .join('\n\n');
}

function components(s: GaugeRrResult, view: View): string {
  const unit = s.unit === null ? '' : ` ${unitSign(s.unit)}`;
  const share = (name: 'repeatability' | 'reproducibility' | 'gauge_rr' | 'part') => numberText(s.study_pct?.[name]);
  const rows = [
    ['repeatability', numberText(s.repeatability_sd, 4), share('repeatability')],
    ['reproducibility', numberText(s.reproducibility_sd, 4), share('reproducibility')],
    ['  operators', numberText(s.operator_sd, 4), ''],
    ['  interaction', numberText(s.interaction_sd, 4), ''],
    ['measuring system', numberText(s.gauge_rr_sd, 4), share('gauge_rr')],
    ['parts', numberText(s.part_sd, 4), share('part')],
    ['total', numberText(s.total_sd, 4), s.study_pct === null ? '' : '100'],
  ];
  const columns = [
    { head: 'component' },
    { head: `sd${unit}`, align: 'right' as const },
    { head: 'study %', align: 'right' as const },
  ];
  return tableText(columns, rows, view);
}

function summary(s: GaugeRrResult, view: View): string {
  return pairsText(
    [
      ['method', s.method === 'anova' ? 'analysis of variance' : 'averages and ranges'],
      ['study', `${s.parts} parts, ${s.operators} operators, ${s.repeats} readings each`],
      ['distinct categories', s.distinct_categories === null ? 'any number' : String(s.distinct_categories)],
      ['of the tolerance', s.tolerance_pct === null ? null : `${numberText(s.tolerance_pct)} %`],
      [
        'interaction',
        s.interaction_pooled === null
          ? null
          : s.interaction_pooled
            ? 'pooled with the repeatability: it does not show'
            : 'kept: operators differ from part to part',
      ],
    ],
    view,
  );
}

function variances(s: GaugeRrResult, view: View): string {
  const rows = s.anova;
  if (rows === null) return '';
  const heads = ['source', 'df', 'ss', 'ms', 'F', 'p'];
  const cells = rows.map(row => [
    row.source,
    String(row.df),
    numberText(row.ss, 4),
    numberText(row.ms, 4),
    numberText(row.f, 4),
    numberText(row.p, 3),
  ]);
  return tableText(
    heads.map((head, i) => ({ head, align: i === 0 ? ('left' as const) : ('right' as const) })),
    cells,
    view,
  );
}
