// Runs the main job on the demo recipe, one command after the other, each shown as it is typed.
import { spawnSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const program = join(root, 'bin', 'dwellbook.js');
const recipe = 'recipes/tide-gauge-pigtail.yaml';
const cured = 'recipes/hydrophone-pigtail.yaml';
const folder = 'demo-output';

const STEPS = [
  ['Is the recipe sound? Units, fits, settings, the ramp to its end:', 'check', recipe],
  ['What does the connector hold, and what is too little and too much?', 'cavity', recipe],
  ['What does the released setting deliver, and which dot does it leave?', 'shot', recipe],
  ['Which setting and which needle deliver the aim?', 'setpoint', recipe, '--needles', '20,22,23'],
  ['The dot as a gauge, to scale:', 'gauge', recipe, '-o', `${folder}/dot-gauge.pdf`],
  [
    'How must the dwell grow as the resin thickens, and when is it time to stop?',
    'ramp',
    recipe,
    '-o',
    `${folder}/shots.csv`,
  ],
  ['How sure is all that, and what would help most?', 'spread', recipe],
  [
    'What 480 connectors need:',
    'batch',
    recipe,
    '--connectors',
    '480',
    '--shift',
    '08:00-12:00',
    '--shift',
    '12:30-16:30',
    '-o',
    `${folder}/timeline.pdf`,
  ],
  [
    'What to weigh for a kit of a resin that sets by kinetics, and between which masses:',
    'mix',
    cured,
    '-o',
    `${folder}/mixing.pdf`,
  ],
  ['What its oven makes of it: gel, glass transition, what is drawn in behind the reach:', 'oven', cured],
  ['The card that hangs at the station:', 'card', recipe, '-o', `${folder}/card.pdf`],
];

mkdirSync(join(root, folder), { recursive: true });
for (const [question, ...words] of STEPS) run(question, words);
console.log(`Written into ${folder}/: dot-gauge.pdf, shots.csv, timeline.pdf, mixing.pdf, card.pdf.`);
console.log(
  'All names and values of the demo are invented. Prove any result on scrap connectors; data sheets, manuals,',
);
console.log('local codes and licensed practice come first.');

function run(question, words) {
  console.log(`${'━'.repeat(80)}\n${question}\n\n$ dwellbook ${words.map(quoted).join(' ')}\n`);
  const { status, error } = spawnSync(process.execPath, [program, ...words], { cwd: root, stdio: 'inherit' });
  if (error) throw error;
  if (status !== 0) {
    console.error(`\ndwellbook ${words[0]} ended with status ${status}`);
    process.exit(status ?? 1);
  }
  console.log();
}

function quoted(word) {
  return /[^\w./,-]/.test(word) ? `"${word}"` : word;
}
