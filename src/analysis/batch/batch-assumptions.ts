import { counted, inMinutes } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { KitLimits } from '../mix/kit-limits.ts';
import type { BatchOptions } from './batch.ts';
import { clockText } from './clock-text.ts';
import { mixingTime } from './mixing-time.ts';
import type { SyringeRun } from './syringe-run.ts';
import { shiftText, type WorkClock } from './work-clock.ts';

interface Input {
  readonly recipe: Recipe;
  readonly options: BatchOptions;
  readonly kit: { readonly syringes: number; readonly fill: number; readonly limits: KitLimits };
  readonly run: SyringeRun;
  readonly clock: WorkClock;
  readonly shotsPerConnector: number;
}

/** What a batch takes for granted, in words, so that nobody has to guess it. */
export function assumptionsOf({ recipe, options, kit, run, clock, shotsPerConnector }: Input): string[] {
  const { start, shifts = [] } = options;
  const hours =
    shifts.length === 0
      ? `work never rests from ${clockText(start ?? 0)} of day 1 on${start === undefined ? ' (no start given)' : ''}`
      : `working hours every day: ${clock.shifts.map(shiftText).join(', ')}; a takt that does not end in them is not begun`;
  return [
    hours,
    `a kit keeps somebody busy for ${inMinutes(mixingTime(recipe))}${recipe.process?.mixing === undefined ? ', ours, without a source' : ''}, within one shift, while the stations go on; changing and priming a syringe takes no production time`,
    'a kit is mixed as late as its first shot allows: `process.ready_after` before it, or before that as late as it is done within a shift',
    kit.syringes === 1 && options.kit === undefined
      ? `a kit is what fills one syringe, and what mixing leaves behind${limitWords(kit.limits)}`
      : `every kit is mixed whole; it fills ${counted(kit.syringes, 'syringe')}, and what is beyond whole fills is wasted`,
    'syringes of one kit age from its mixing; one is used until it is empty, too old for the next connector, or the batch is done',
    ...(recipe.process?.room === undefined ? [] : ['the resin is as warm as `process.room` at every time of the day']),
    run.perNeedle === Number.POSITIVE_INFINITY
      ? 'a fresh needle with every syringe'
      : `a fresh needle with every syringe and after ${options.needleLife} shots: ${shotsPerConnector} a connector, prime included`,
    'every connector takes the bore shot and the aim of the backfill; scrap takes as much as good ones, and counts as used',
    ...((options.stations ?? 1) > 1 ? ['stations work takt for takt and change over together'] : []),
    options.prefer === 'finish'
      ? 'chosen for the earliest finish, then the fewest kits'
      : 'chosen for the least resin wasted (with kits all alike: the fewest kits), then the earliest finish; stations may wait for it',
  ];
}

function limitWords({ least, largest }: KitLimits): string {
  if (least === null && largest === null) return '';
  const bounds = [...(least === null ? [] : ['at least what the scale mixes to its ratio'])];
  if (largest !== null) bounds.push('at most what stays cool in its cup');
  return `, but ${bounds.join(' and ')}`;
}
