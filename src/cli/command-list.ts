import type { CommandEntry } from './command.ts';

const RECIPE = 'From one recipe:';
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
    name: 'ramp',
    summary: 'how the dwell grows as the mixed resin thickens, and when to stop',
    group: RECIPE,
    load: () => import('./commands/ramp.ts'),
  },
  {
    name: 'batch',
    summary: 'kits, syringes, needles, mixing times, waste and cost of a batch',
    group: RECIPE,
    load: () => import('./commands/batch.ts'),
  },
  {
    name: 'card',
    summary: 'the setup card that hangs at the station, as a PDF',
    group: RECIPE,
    load: () => import('./commands/card.ts'),
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
];
