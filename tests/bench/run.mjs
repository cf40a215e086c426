// npm run bench [words…]: every figure as a ratio to a floor measured in the same run, turn by turn, so that a busy
// machine slows both alike. Each *.bench.mjs here gives one group; words choose groups by name. Times are medians.
import { readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const folder = dirname(fileURLToPath(import.meta.url));
const words = process.argv.slice(2);
const files = readdirSync(folder)
  .filter(file => file.endsWith('.bench.mjs'))
  .filter(file => words.length === 0 || words.some(word => file.includes(word)))
  .sort();
if (files.length === 0) {
  console.error(`no group of figures is called ${words.join(' or ')}`);
  process.exit(2);
}

let tooSlow = false;
for (const file of files) {
  const { title, rows } = await import(pathToFileURL(join(folder, file)).href);
  console.log(title);
  // A row: {figure, ours, floor, floorName, unit, ratio, wanted?: {atMost} | {atLeast}}.
  for (const row of await rows()) {
    const ratio = `${row.ratio.toFixed(2)} ×`;
    const verdict = verdictOf(row);
    tooSlow ||= verdict.startsWith('MISSED');
    console.log(
      `  ${row.figure.padEnd(42)} ${ratio.padStart(10)} ${row.floorName} (${shown(row.ours)} to ${shown(row.floor)} ${row.unit})${verdict === '' ? '' : `; ${verdict}`}`,
    );
  }
}
process.exitCode = tooSlow ? 1 : 0;

function verdictOf({ ratio, wanted }) {
  if (wanted?.atMost !== undefined) return `${ratio <= wanted.atMost ? 'wanted' : 'MISSED:'} at most ${wanted.atMost}`;
  if (wanted?.atLeast !== undefined)
    return `${ratio >= wanted.atLeast ? 'wanted' : 'MISSED:'} at least ${wanted.atLeast}`;
  return '';
}

function shown(value) {
  return value >= 100 ? Math.round(value).toLocaleString('en') : value.toPrecision(3);
}
