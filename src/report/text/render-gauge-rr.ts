import type { GaugeRrResult } from '../../analysis/trend/gauge-rr.ts';
import { numberText, unitSign } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** Where the scatter comes from, what that means, and the table of variances. */
export function renderGaugeRr(study: GaugeRrResult, view: View): string {
  return blocksText([components(study, view), summary(study, view), variances(study, view)]);
}

function components(s: GaugeRrResult, view: View): string {
  const unit = s.unit === null ? '' : ` ${unitSign(s.unit)}`;
  const share = (name: 'repeatability' | 'reproducibility' | 'gauge_rr' | 'part') => numberText(s.study_pct?.[name]);
  const within = (ends: readonly [number, number] | null | undefined) =>
    ends === null || ends === undefined ? '' : `${numberText(ends[0])} to ${numberText(ends[1])}`;
  const i = s.intervals;
  const rows = [
    ['repeatability', numberText(s.repeatability_sd, 4), within(i?.repeatability_sd), share('repeatability')],
    ['reproducibility', numberText(s.reproducibility_sd, 4), within(i?.reproducibility_sd), share('reproducibility')],
    ['  operators', numberText(s.operator_sd, 4), '', ''],
    ['  interaction', numberText(s.interaction_sd, 4), within(i?.interaction_sd), ''],
    ['measuring system', numberText(s.gauge_rr_sd, 4), within(i?.gauge_rr_sd), share('gauge_rr')],
    ['parts', numberText(s.part_sd, 4), within(i?.part_sd), share('part')],
    ['total', numberText(s.total_sd, 4), within(i?.total_sd), s.study_pct === null ? '' : '100'],
  ];
  const columns = [
    { head: 'component' },
    { head: `sd${unit}`, align: 'right' as const },
    { head: '95 % interval', align: 'right' as const },
    { head: 'study %', align: 'right' as const },
  ];
  return tableText(columns, rows, view);
}

function summary(s: GaugeRrResult, view: View): string {
  return pairsText(
    [
      ['method', s.method === 'anova' ? 'analysis of variance' : 'averages and ranges'],
      ['study', `${s.parts} parts, ${s.operators} operators, ${s.repeats} readings each`],
      ['share of the study', studyText(s)],
      ['distinct categories', categoriesText(s)],
      ['of the tolerance', toleranceText(s)],
      ['interaction', interactionText(s)],
    ],
    view,
  );
}

function studyText({ study_pct, intervals }: GaugeRrResult): string | null {
  if (study_pct === null || intervals === null) return null;
  const [low, high] = intervals.gauge_rr_study_pct;
  return `${numberText(study_pct.gauge_rr)} %, with 95 % confidence ${numberText(low)} to ${numberText(high)} %`;
}

function categoriesText({ distinct_categories, intervals }: GaugeRrResult): string {
  const number = distinct_categories === null ? 'any number' : String(distinct_categories);
  if (intervals === null) return number;
  const [low, high] = intervals.distinct_categories;
  return low === high ? number : `${number}, with 95 % confidence ${low} to ${high ?? 'any number'}`;
}

function toleranceText({ tolerance_pct, intervals }: GaugeRrResult): string | null {
  if (tolerance_pct === null) return null;
  const ends = intervals?.tolerance_pct;
  const within = ends ? `, with 95 % confidence ${numberText(ends[0])} to ${numberText(ends[1])} %` : '';
  return `${numberText(tolerance_pct)} %${within}`;
}

function interactionText(s: GaugeRrResult): string | null {
  if (s.interaction_pooled === null) return null;
  if (s.interaction_pooled) return 'pooled with the repeatability: it does not show';
  const p = s.anova?.find(row => row.source === 'interaction')?.p ?? 0;
  return p > 0.05
    ? `kept, since it is not ruled out (p = ${numberText(p, 2)})`
    : 'kept: operators differ from part to part';
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
