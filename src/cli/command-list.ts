import type { CommandEntry } from './terminal/command.ts';

const RECIPE = 'From one recipe:';
const FLOOR = 'The loop with the shop floor:';
const CHANGE = 'Recipes as code:';
const FORMAT = 'About the format:';

/** Every command, in the order of `--help`. */
export const COMMANDS: readonly CommandEntry[] = [
  {
    name: 'check',
    summary: 'check recipes; status 1 when one has an error',
    group: RECIPE,
    load: () => import('./commands/check.ts'),
  },
  {
    name: 'cavity',
    summary: 'what the connector holds, and the window between too little and too much',
    group: RECIPE,
    load: () => import('./commands/cavity.ts'),
  },
  {
    name: 'shot',
    summary: 'what a pressure and dwell deliver, and the dot it leaves',
    group: RECIPE,
    load: () => import('./commands/shot.ts'),
  },
  {
    name: 'setpoint',
    summary: 'the pressure and dwell that deliver the aim; compare needles',
    group: RECIPE,
    load: () => import('./commands/setpoint.ts'),
  },
  {
    name: 'gauge',
    summary: 'a dot gauge to scale, as a PDF',
    group: RECIPE,
    load: () => import('./commands/gauge.ts'),
  },
  {
    name: 'scan',
    summary: 'a printed gauge read back from a picture',
    group: RECIPE,
    load: () => import('./commands/scan.ts'),
  },
  {
    name: 'ramp',
    summary: 'how the dwell grows as the mixed resin thickens, and when to stop',
    group: RECIPE,
    load: () => import('./commands/ramp.ts'),
  },
  {
    name: 'family',
    summary: 'one needle and pressure for several connectors of one resin, as a matrix card',
    group: RECIPE,
    load: () => import('./commands/family.ts'),
  },
  {
    name: 'batch',
    summary: 'kits, syringes, needles, mixing times, waste and cost of a batch',
    group: RECIPE,
    load: () => import('./commands/batch.ts'),
  },
  {
    name: 'mix',
    summary: 'what to weigh for a kit, the least mass by the scale, the largest by its own heat',
    group: RECIPE,
    load: () => import('./commands/mix.ts'),
  },
  {
    name: 'insert',
    summary: 'drag on the fibre as it goes in, the load that buckles it, and the greatest speed',
    group: RECIPE,
    load: () => import('./commands/insert.ts'),
  },
  {
    name: 'oven',
    summary: 'conversion, gel, glass transition, what is drawn in behind the reach, how the bead sinks',
    group: RECIPE,
    load: () => import('./commands/oven.ts'),
  },
  {
    name: 'spread',
    summary: 'how sure the shot is, what dominates its spread, and the share outside the window',
    group: RECIPE,
    load: () => import('./commands/spread.ts'),
  },
  {
    name: 'rehearse',
    summary: 'the whole line simulated: syringes checked, released, trimmed and run to their end',
    group: RECIPE,
    load: () => import('./commands/rehearse.ts'),
  },
  {
    name: 'card',
    summary: 'the setup card that hangs at the station, as a PDF',
    group: RECIPE,
    load: () => import('./commands/card.ts'),
  },
  {
    name: 'trials',
    summary: 'a run sheet of trial shots, randomised, sized for what they are to tell',
    group: FLOOR,
    load: () => import('./commands/trials.ts'),
  },
  {
    name: 'fit',
    summary: 'what trial shots, a flow curve or a cure curve teach; calibrates the recipe',
    group: FLOOR,
    load: () => import('./commands/fit.ts'),
  },
  {
    name: 'release',
    summary: 'whether a fresh syringe may be used, and with what trim; keeps the log',
    group: FLOOR,
    load: () => import('./commands/release.ts'),
  },
  {
    name: 'follow',
    summary: 'what to do after the last check of the log: keep the program, set another, stop',
    group: FLOOR,
    load: () => import('./commands/follow.ts'),
  },
  {
    name: 'trend',
    summary: 'whether the line drifts: control chart, run rules, capability',
    group: FLOOR,
    load: () => import('./commands/trend.ts'),
  },
  {
    name: 'gauge-rr',
    summary: 'how well a gauge repeats, and operators agree',
    group: FLOOR,
    load: () => import('./commands/gauge-rr.ts'),
  },
  {
    name: 'qualify',
    summary: 'a pack to sign: gauge study, trials, rehearsal, sample sizes, first pieces',
    group: FLOOR,
    load: () => import('./commands/qualify.ts'),
  },
  {
    name: 'recall',
    summary: 'where a lot of resin or a syringe went, from the check logs',
    group: FLOOR,
    load: () => import('./commands/recall.ts'),
  },
  {
    name: 'new',
    summary: 'a starter recipe with comments, from options and parts of a library',
    group: CHANGE,
    load: () => import('./commands/new.ts'),
  },
  {
    name: 'compare',
    summary: 'what a change of recipes does to windows, settings, ramps and dots',
    group: CHANGE,
    load: () => import('./commands/compare.ts'),
  },
  {
    name: 'freeze',
    summary: 'records computed results in a lock file, for `check --frozen`',
    group: CHANGE,
    load: () => import('./commands/freeze.ts'),
  },
  {
    name: 'sweep',
    summary: 'results over a grid of recipe values, as a table, CSV or chart',
    group: CHANGE,
    load: () => import('./commands/sweep.ts'),
  },
  {
    name: 'merge',
    summary: 'puts together what several machines did of one call',
    group: CHANGE,
    load: () => import('./commands/merge.ts'),
  },
  {
    name: 'needles',
    summary: 'the built-in needle table',
    group: FORMAT,
    load: () => import('./commands/needles.ts'),
  },
  {
    name: 'schema',
    summary: 'the JSON Schema of the recipe format',
    group: FORMAT,
    load: () => import('./commands/schema.ts'),
  },
  {
    name: 'explain',
    summary: 'one finding in full: why it matters and what to do',
    group: FORMAT,
    load: () => import('./commands/explain.ts'),
  },
  {
    name: 'completion',
    summary: 'completion of commands, options and recipe keys in a shell',
    group: FORMAT,
    load: () => import('./commands/completion.ts'),
  },
];
