import type { AfterTrim, SpreadResult } from '../../analysis/rehearse/spread.ts';
import type {
  AgreementKeys,
  FirstOrderKeys,
  MonteCarloKeys,
  SpreadInputKeys,
} from '../../analysis/spread/spread-keys.ts';
import { BORE_MEASURED, LOT_MEASURED } from '../../analysis/spread/spread-measures.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { displayUnits, pressureText } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText, settingText, signedPercent, unitSign } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { type Column, pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** The spread of a shot: both ways side by side before and after trim, where it comes from, and what would help. */
export function renderSpread(spread: SpreadResult, view: View, recipe: Recipe): string {
  return blocksText([
    head(spread, recipe, view),
    summary(spread, view),
    agreement(spread, view),
    inputTable(spread.first_order.inputs, view),
    measures(spread, view),
    meaning(spread, view),
    madeBy(spread.models, spread.defaults, view),
  ]);
}

function head(spread: SpreadResult, recipe: Recipe, view: View): string {
  const units = displayUnits(recipe);
  const setting = `${pressureText(spread.pressure_kPa, units.pressure)}, ${settingText(spread.dwell_s)} s`;
  const from =
    spread.setting === 'settings' ? 'of `settings`' : 'chosen as by `setpoint`: the recipe has no complete `settings`';
  const window =
    spread.window_uL === null ? '' : `, window ${spread.window_uL.map(v => numberText(v)).join(' to ')} µL`;
  return pairsText(
    [
      ['pressure, dwell', `${setting} (${from})`],
      ['aim', spread.aim_uL === null ? null : `${numberText(spread.aim_uL)} µL${window}`],
      ['after the trim', spread.after_trim === null ? null : trimText(spread.after_trim)],
    ],
    view,
  );
}

function trimText({ dwell_s, rehearsal }: AfterTrim): string {
  const dwell = `dwell ${settingText(dwell_s)} s where the syringe is as the recipe says`;
  if (rehearsal === null) return dwell;
  const { check, syringes, rejected_pct, trimmed_pct } = rehearsal;
  const readings = `${counted(check.readings, check.kind === 'dots' ? 'dot' : 'weighing')} of ${counted(check.shots_per_reading, 'shot')} each`;
  return `${dwell}; ${readings}: ${percentage(trimmed_pct)} % of ${syringes} syringes trimmed, ${percentage(rejected_pct)} % rejected`;
}

/** Rows are what is told, columns the two ways before and after the trim. */
function summary({ first_order, monte_carlo, after_trim }: SpreadResult, view: View): string {
  const columns: Column[] = ['', 'first order', 'Monte Carlo'].map(rightAligned);
  const sides: [FirstOrderKeys, MonteCarloKeys][] = [[first_order, monte_carlo]];
  if (after_trim !== null) {
    const drawn = after_trim.rehearsal === null ? 'trimmed, Monte Carlo' : 'trimmed, rehearsed';
    const count = after_trim.rehearsal === null ? 'trimmed, first order' : 'trimmed, counted';
    columns.push(...[count, drawn].map(rightAligned));
    sides.push(trimmed(after_trim));
  }
  const row = (label: string, first: (f: FirstOrderKeys) => string, run: (m: MonteCarloKeys) => string) => [
    label,
    ...sides.flatMap(([f, m]) => [first(f), run(m)]),
  ];
  const interval = ({ interval_uL: [low, high] }: FirstOrderKeys | MonteCarloKeys) =>
    `${numberText(low)} to ${numberText(high)}`;
  const rows = [
    row(
      'shot, mean µL',
      f => numberText(f.mean_uL),
      m => numberText(m.mean_uL),
    ),
    row(
      '  its sd µL',
      f => numberText(f.standard_uncertainty_uL),
      m => numberText(m.standard_deviation_uL),
    ),
    row(
      '  in % of mean',
      f => fixedText(f.relative_pct, 1),
      m => fixedText(m.relative_pct, 1),
    ),
    row('95 % interval µL', interval, interval),
    row(
      'margin, mean µL',
      f => margin(f.margin?.mean_uL),
      m => margin(m.margin?.mean_uL),
    ),
    row(
      '  its sd µL',
      f => numberText(f.margin?.standard_uncertainty_uL ?? null),
      m => numberText(m.margin?.standard_deviation_uL ?? null),
    ),
    row(
      'outside window %',
      f => percentage(f.outside_pct),
      m => (m.outside_pct === 0 ? noneText(m) : percentage(m.outside_pct)),
    ),
    row(
      '  too little %',
      () => '',
      m => percentage(m.too_little_pct),
    ),
    row(
      '  too much %',
      () => '',
      m => percentage(m.too_much_pct),
    ),
    row(
      'Cp',
      f => fixedText(f.cp, 2),
      m => fixedText(m.cp, 2),
    ),
    row(
      'Cpk',
      f => fixedText(f.cpk, 2),
      m => fixedText(m.cpk, 2),
    ),
    row(
      'Cpk from outside',
      () => '',
      m => fixedText(m.cpk_from_outside, 2),
    ),
  ];
  return tableText(columns, rows, view);
}

function trimmed({ first_order, monte_carlo }: AfterTrim): [FirstOrderKeys, MonteCarloKeys] {
  return [first_order, monte_carlo];
}

/** With its sign: below zero is too little. */
function margin(value: number | undefined): string {
  return value === undefined ? NONE : `${value > 0 ? '+' : ''}${numberText(value)}`;
}

/** A share with digits enough to tell a small one from none. */
function percentage(value: number | null): string {
  if (value === null) return NONE;
  return value >= 0.1 || value === 0 ? fixedText(value, 1) : value < 1e-4 ? '< 0.0001' : numberText(value, 2);
}

/** None of so many, as the bound that it is. */
function noneText({ outside_interval_pct: interval }: MonteCarloKeys): string {
  return `none, < ${numberText(interval?.[1], 2)}`;
}

function agreement({ agreement: a, monte_carlo: m }: SpreadResult, view: View): string {
  const shot = agreementText('the shot', a, m.skewness);
  const margin =
    a.margin === null || m.margin === null ? [] : [agreementText('shot less aim', a.margin, m.margin.skewness)];
  return paragraph([shot, ...margin].join(' '), view.columns);
}

function agreementText(name: string, a: AgreementKeys, skewness: number): string {
  const difference = numberText(Math.max(a.low_difference_uL, a.high_difference_uL), 2);
  const tolerance = numberText(a.tolerance_uL, 2);
  const ends = `the ends of their intervals differ by up to ${difference} µL, and ${tolerance} µL is allowed`;
  const skew = `skewness ${fixedText(skewness, 2)}`;
  if (a.agrees === null) {
    return `Too few samples to tell whether the two ways agree on ${name}: the ends of the interval are known to ${numberText(a.interval_error_uL, 2)} µL.`;
  }
  return a.agrees
    ? `The two ways agree on ${name}: ${ends} (${skew}).`
    : `The two ways do not agree on ${name}: ${ends} (${skew}). Use Monte Carlo.`;
}

function inputTable(inputs: readonly SpreadInputKeys[], view: View): string {
  const judged = inputs.some(input => input.margin_share_pct !== null);
  const heads = ['half-width', 'per', 'sensitivity', 'share %'];
  const columns: Column[] = [{ head: 'input' }, ...heads.map(rightAligned)];
  const share = ({ share_pct: shot, margin_share_pct: margin }: SpreadInputKeys) =>
    judged ? `${fixedText(shot, 1)}, ${fixedText(margin, 1)}` : fixedText(shot, 1);
  const rows = inputs.map(input => [
    input.paths.length === 1 ? input.path : `${input.path} (and ${input.paths.length - 1} more)`,
    `${numberText(input.half_width, 2)}${input.unit === '1' ? '' : ` ${input.unit}`}`,
    input.per,
    input.sensitivity === 0 ? '0' : `${numberText(input.sensitivity, 2)} ${unitSign(input.sensitivity_unit)}`,
    share(input),
  ]);
  return rows.length === 0 ? '' : tableText(columns, rows, view);
}

function measures({ measures: list, monte_carlo }: SpreadResult, view: View): string {
  if (list.length === 0) return '';
  const columns: Column[] = [
    { head: 'what would help most' },
    ...['sd µL', 'variance %', 'outside %', 'Cpk'].map(rightAligned),
  ];
  const rows = list.map(measure => [
    measure.action,
    ...(measure.told
      ? [
          numberText(measure.standard_deviation_uL),
          signedPercent(-measure.share_removed_pct),
          percentage(measure.outside_pct),
          fixedText(measure.cpk, 2),
        ]
      : ['', 'not told apart', '', '']),
  ]);
  const now = [
    'as it is',
    numberText((monte_carlo.margin ?? monte_carlo).standard_deviation_uL),
    '',
    percentage(monte_carlo.outside_pct),
    fixedText(monte_carlo.cpk, 2),
  ];
  return tableText(columns, [now, ...rows], view);
}

function meaning({ window_uL, after_trim, monte_carlo }: SpreadResult, view: View): string {
  const sentences = [
    window_uL === null
      ? 'Without a connector the shot stands alone: nothing is outside.'
      : 'Mean, deviation and interval are of the shot; the margin is the shot less the aim of its own connector, and outside, Cp, Cpk and what would help go by that. Shares are of the variance of the shot, then of the margin.',
  ];
  if (after_trim !== null) {
    sentences.push(
      after_trim.rehearsal === null
        ? 'Trimmed: the dwell of every fresh syringe set to the aim, so that what is the same for a syringe, needle or lot is gone from the shot; the check is taken as exact, since this recipe cannot be rehearsed.'
        : 'Trimmed: every fresh syringe checked and judged as by `release`, and run by its program to its end: what the check misreads, what is left within the tolerance, the steps of the program, drift and the emptying syringe count. `rehearse` tells more.',
    );
  }
  sentences.push(
    `What would help is compared with the same draws; a difference within twice its standard error is not told apart. A bore that is measured is known to ± ${BORE_MEASURED * 1e6} µm, a lot whose shots are weighed to ± ${LOT_MEASURED * 100} % (our choice, no source).`,
  );
  if (monte_carlo.redrawn > 0) {
    sentences.push(`${monte_carlo.redrawn} draws were taken again, because a value in them could not be.`);
  }
  return paragraph(sentences.join(' '), view.columns);
}

function rightAligned(head: string): Column {
  return head === '' ? { head } : { head, align: 'right' };
}
