import type { RehearseResult } from '../../analysis/rehearse/rehearse.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { madeBy } from '../words/made-by.ts';
import { fixedText, NONE, numberText } from '../words/number-text.ts';
import { blocksText, paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** A rehearsal: how it was checked, what came of connectors and of syringes, and what made the margin spread. */
export function renderRehearse(result: RehearseResult, view: View): string {
  return blocksText([
    head(result, view),
    shares(result, view),
    causes(result, view),
    paragraph(meaning(result), view.columns),
    madeBy(result.models, result.defaults, view),
  ]);
}

function head(result: RehearseResult, view: View) {
  const { check, syringes, connectors, connectors_per_syringe, aim_uL, window_uL, seed } = result;
  const each = counted(check.shots_per_reading, 'shot');
  const readings = counted(check.readings, check.kind === 'dots' ? 'dot' : 'weighing');
  return pairsText(
    [
      ['check of a syringe', `${readings} of ${each} each, at the first shot`],
      ...sharedRows(result),
      ['rehearsed', `${counted(syringes, 'syringe')}, ${counted(connectors, 'connector')}, seed ${seed}`],
      ['run of a syringe', counted(connectors_per_syringe, 'connector')],
      ['aim', `${numberText(aim_uL)} µL, window ${window_uL.map(v => numberText(v)).join(' to ')} µL`],
    ],
    view,
  );
}

function sharedRows({ follow, syringes_per_lot, syringes_per_needle }: RehearseResult): [string, string][] {
  if (syringes_per_lot === 1) return [];
  const shared = `${counted(syringes_per_lot, 'syringe')} of a lot, ${syringes_per_needle} through a needle`;
  return [
    ['shared', shared],
    ['checks before', follow ? 'of the same lot or needle are followed' : 'not followed: every check for itself'],
  ];
}

function shares(result: RehearseResult, view: View): string {
  const { margin, intervals_pct: of } = result;
  const none = result.outside_pct === 0;
  const row = (label: string, value: number | null, interval: readonly [number, number] | null) => [
    label,
    share(value),
    interval === null ? NONE : `${share(interval[0])} to ${share(interval[1])}`,
  ];
  const rows = [
    row('connectors outside', result.outside_pct, none ? null : result.outside_interval_pct),
    row('  too little', result.too_little_pct, null),
    row('  too much', result.too_much_pct, null),
    row('syringes rejected', result.rejected_pct, of.rejected),
    row('  though good', result.false_reject_pct, of.false_reject),
    row('syringes trimmed', result.trimmed_pct, of.trimmed),
    row('released, not good', result.missed_pct, of.missed),
  ];
  if (none) rows[0]![2] = `below ${share(result.outside_interval_pct![1])}`;
  const table = tableText(
    ['', '%', '95 % interval'].map(text => (text === '' ? { head: text } : { head: text, align: 'right' as const })),
    rows,
    view,
  );
  const capability = pairsText(
    [
      [
        'margin',
        margin === null ? null : `mean ${signed(margin.mean_uL)} µL, sd ${numberText(margin.standard_deviation_uL)} µL`,
      ],
      ['Cp, Cpk', `${fixedText(result.cp, 2)}, ${fixedText(result.cpk, 2)}`],
    ],
    view,
  );
  return `${table}\n\n${capability}`;
}

function signed(value: number): string {
  return `${value > 0 ? '+' : ''}${numberText(value)}`;
}

/** A share with digits enough to tell a small one from none. */
function share(value: number | null): string {
  if (value === null) return NONE;
  if (value === 0) return '0';
  return value >= 1 ? fixedText(value, 1) : numberText(value, 2);
}

function causes({ by_cause, reasons }: RehearseResult, view: View): string {
  const columns = [{ head: 'what makes the margin spread' }, { head: 'variance %', align: 'right' as const }];
  const list = by_cause.map(({ cause, variance_pct }) => [cause, fixedText(variance_pct, 1)]);
  const why = [{ head: 'why syringes were rejected' }, { head: 'syringes %', align: 'right' as const }];
  const rejected = reasons.map(({ code, syringes_pct }) => [REASONS[code], share(syringes_pct)]);
  return [
    ...(list.length > 0 ? [tableText(columns, list, view)] : []),
    ...(rejected.length > 0 ? [tableText(why, rejected, view)] : []),
  ].join('\n\n');
}

const REASONS: Record<RehearseResult['reasons'][number]['code'], string> = {
  stop: 'the run is over',
  conditions: 'temperature outside that of the process',
  scatter: 'readings scatter too much',
  inside: 'inside',
  window: 'as it stands, its interval leaves the window',
  tolerance: 'as it stands, it leaves the tolerance',
  trim: 'trimmed',
  'trim-window': 'trimmed, its interval leaves the window',
  'trim-tolerance': 'trimmed, it leaves the tolerance',
  'trim-limit': 'the correction is beyond the limit of a trim',
  'trim-impossible': 'no program of the station keeps its aim',
  earlier: 'checks before',
  undecided: 'not shown to be good: more readings could',
};

function meaning({ outside_pct, connectors }: RehearseResult): string {
  const sentences = [
    'Outside: the reach of a connector is not in its window. Though good: the program for its true thickness would have kept every connector inside. Released, not good: any connector outside. Shares of syringes are of all; margins are shot less the aim of its own connector, and the parts of their variance add up to 100 %.',
  ];
  if (connectors === 0) sentences.push('No syringe was released.');
  if (outside_pct === 0) {
    sentences.push(
      'None was outside: the bound is that of connectors which have nothing in common; those of one syringe have, so look at the syringes released, not good, as well.',
    );
  }
  return sentences.join(' ');
}
