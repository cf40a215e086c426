import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { COMMANDS } from '../../src/cli/command-list.ts';
import { root } from './built-program.ts';
import { AIRS, CURES, drawFrom, drawRecipe, RHEOLOGIES } from './drawn-recipes.ts';
import { unsound, type WatchedProgram } from './watched-run.ts';

const floor = (name: string) => readFileSync(join(root, 'examples', 'floor', name), 'utf8');
const DATA = {
  'runs.csv': floor('trial-runs.csv'),
  'curve.csv': floor('flow-curve.csv'),
  'cure.csv': floor('thickening.csv'),
};

/** Commands that are not about a recipe. */
const WITHOUT_RECIPE = [
  'trend',
  'gauge-rr',
  'new',
  'scan',
  'merge',
  'needles',
  'schema',
  'explain',
  'completion',
  'follow',
  'recall',
];

/** How a command is called where its name and the recipe are not all; several ways where it has several. */
const WAYS: Readonly<Record<string, readonly string[]>> = {
  shot: ['shot a.yaml --pressure 150kPa --dwell 1s', 'shot a.yaml'],
  setpoint: ['setpoint a.yaml', 'setpoint a.yaml --needles 20,22x12.7mm,30'],
  gauge: ['gauge a.yaml -o gauge.pdf'],
  ramp: ['ramp a.yaml', 'ramp a.yaml --by pressure --pause 5min@3 -o shots.csv'],
  spread: ['spread a.yaml --samples 1000'],
  batch: ['batch a.yaml --connectors 480', 'batch a.yaml --connectors 48 --shift 06:00-14:00 -o batch.svg'],
  mix: ['mix a.yaml', 'mix a.yaml --mass 8g'],
  card: ['card a.yaml -o card.pdf'],
  trials: ['trials a.yaml -o trials.csv', 'trials a.yaml --by diameter'],
  fit: ['fit a.yaml runs.csv', 'fit a.yaml --flow-curve curve.csv', 'fit a.yaml --cure cure.csv'],
  release: [
    'release a.yaml --dots 3.2mm,3.25mm --age 13min',
    'release a.yaml --masses 9.0mg,9.1mg --shots 5 --readability 0.1mg',
  ],
  compare: ['compare a.yaml b.yaml'],
  rehearse: ['rehearse a.yaml --samples 200', 'rehearse a.yaml --samples 200 --follow --per-needle 5'],
  qualify: ['qualify a.yaml -o pack.pdf --samples 200'],
  family: ['family a.yaml b.yaml'],
  sweep: [
    'sweep a.yaml --grid process.prime=1:3:2 --take shot.volume_uL,setpoint.chosen.dwell_s,ramp.worst_error_pct,gauge.circles',
  ],
};

/** Every call of every command that is about a recipe. */
export const CALLS: readonly string[] = COMMANDS.filter(({ name }) => !WITHOUT_RECIPE.includes(name)).flatMap(
  ({ name }) => WAYS[name] ?? [`${name} a.yaml`],
);

/** Every rheology with every air and every cure. */
export const MODELS = Object.keys(RHEOLOGIES).flatMap(rheology =>
  Object.keys(AIRS).flatMap(air => Object.keys(CURES).map(cure => ({ rheology, air, cure }))),
);

/** The recipe of a seed: model by model in turn. */
export function drawnRecipe(seed: number): string {
  return drawRecipe(drawFrom(seed), MODELS[seed % MODELS.length]!);
}

/** What is wrong with how a call on that recipe ends, with what it takes to see it again; null where nothing is. */
export async function wrongEnd(program: WatchedProgram, seed: number, call: string): Promise<string | null> {
  const files = { 'a.yaml': drawnRecipe(seed), 'b.yaml': drawnRecipe(seed + MODELS.length), ...DATA };
  const ending = await program.run([...call.split(' '), '--json'], files);
  const wrong = unsound(ending);
  // A syringe that may not be used ends with 1: that is the result.
  if (wrong === 'status 1 without a finding' && /"decision": "reject"/.test(ending.out)) return null;
  return wrong === null ? null : `recipe ${seed}, ${call}: ${wrong}`;
}
