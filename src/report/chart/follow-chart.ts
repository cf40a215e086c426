import type { FollowCheckKeys, FollowResult } from '../../analysis/follow/follow.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { numberText, settingText } from '../words/number-text.ts';
import type { Axis, Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';
import { daysText, timeTicks } from './time-ticks.ts';

const THICKNESS = { width: 170, height: 112 };
const DWELL = { width: 170, height: 62 };

/** Thickness from check to check, alone and filtered, with what was done; and the dwell that each check was made with. */
export function followCharts(result: FollowResult, title: string, measure?: TextMeasure): Drawing[] {
  return [thicknessChart(result, title, measure), dwellChart(result, title, measure)];
}

function thicknessChart({ checks, action, thickness }: FollowResult, title: string, measure?: TextMeasure): Drawing {
  const at = (i: number) => i + 1;
  const filtered: Series = {
    name: 'filtered, with 95 % interval',
    points: checks.map((c, i) => [at(i), c.filtered]),
    errors: checks.map(c => [c.low, c.high]),
    dash: 'solid',
    marker: 'dot',
    notes: checks.flatMap((c, i) => noteOf(c, i === checks.length - 1 ? action : null, i)),
  };
  const alone: Series = {
    name: 'the check alone',
    points: checks.map((c, i) => [at(i), c.thickness]),
    dash: 'none',
    marker: 'ring',
  };
  const spec = {
    title: `${title}: ${numberText(thickness.estimate)} times as thick, ${actionText(action)}`,
    x: xAxis(checks),
    y: { label: "times the recipe's thickness" },
    series: [alone, filtered],
    rules: [{ axis: 'y' as const, at: 1, name: 'as the recipe', dash: 'dotted' as const }],
    words: ['T trimmed, X rejected, S another program to be set, E stop.'],
  };
  return lineChart(spec, THICKNESS, measure);
}

/** What was done at a check: T trimmed and X rejected by the log, then S or E for what is to be done after the last. */
function noteOf(
  c: FollowCheckKeys,
  action: FollowResult['action'] | null,
  index: number,
): { index: number; text: string }[] {
  const letters = [
    ...(c.decision === 'use with trim' ? ['T'] : c.decision === 'reject' ? ['X'] : []),
    ...(action === 'set' ? ['S'] : action === 'stop' ? ['E'] : []),
  ];
  return letters.length === 0 ? [] : [{ index, text: letters.join(' ') }];
}

function actionText(action: FollowResult['action']): string {
  return { keep: 'keep the program', set: 'set another program', stop: 'stop' }[action];
}

function dwellChart({ checks, dwell_s, before_s }: FollowResult, title: string, measure?: TextMeasure): Drawing {
  const made: Series = {
    name: 'dwell of the check',
    points: checks.map((c, i) => [i + 1, c.dwell_s]),
    dash: 'solid',
    line: 'steps',
    marker: 'dot',
  };
  const next: Series = {
    name: dwell_s === null ? 'none after it' : `after it ${settingText(dwell_s)} s`,
    points: [[checks.length + 1, dwell_s ?? before_s]],
    dash: 'none',
    marker: 'cross',
  };
  const series = dwell_s === null ? [made] : [made, next];
  // from zero, so that one step of the station does not look like a change of the process
  const rules = [
    { axis: 'y' as const, at: before_s, name: `in force ${settingText(before_s)}`, dash: 'dotted' as const },
  ];
  const spec = { title: `${title}, dwell`, x: xAxis(checks), y: { label: 'dwell s', min: 0 }, series, rules };
  return lineChart(spec, DWELL, measure);
}

function xAxis(checks: readonly FollowCheckKeys[]): Axis {
  const times = checks.map(c => c.time);
  const ticks = timeTicks(times);
  const ends = { min: 0.5, max: times.length + 1.5 }; // room for what is to be set after the last
  return ticks === null
    ? { label: 'check', min: 1 }
    : { label: `checks in their order, ${daysText(times)}`, ticks, ...ends };
}
