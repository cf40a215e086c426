// Runs the main job on the demo recipe, one command after the other, each shown as it is typed.
import { spawnSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const program = join(root, 'bin', 'dwellbook.js');
const recipe = 'recipes/tide-gauge-pigtail.yaml';
const folder = 'demo-output';

mkdirSync(join(root, folder), { recursive: true });
run('check', recipe);
run('cavity', recipe);
run('shot', recipe);
run('setpoint', recipe, '--needles', '20,22,23');
run('gauge', recipe, '-o', `${folder}/dot-gauge.pdf`);
run('ramp', recipe, '-o', `${folder}/shots.csv`);
console.log(`Written: ${folder}/dot-gauge.pdf, ${folder}/shots.csv. All names and values of the demo are invented.`);

function run(...words) {
  console.log(`$ dwellbook ${words.join(' ')}\n`);
  const { status, error } = spawnSync(process.execPath, [program, ...words], { cwd: root, stdio: 'inherit' });
  if (error) throw error;
  if (status !== 0) {
    console.error(`\ndwellbook ${words[0]} ended with status ${status}`);
    process.exit(status ?? 1);
  }
  console.log();
}
