#!/usr/bin/env node
// The built program on every version of Node that it is made for: `npm run smoke [-- 22 24]`. Their binaries come from the package
// registry (the package `node`), through npx, which keeps them.
import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const ROOT = join(import.meta.dirname, '..', '..');
const VERSIONS = ['20', '22', '24'];
const RECIPE = 'tide-gauge-pigtail.yaml';

/** What is run, with what has to stand in its output. A PDF and a sweep with threads load what the others do not. */
const CALLS = [
  [['--help'], /^Usage: dwellbook/],
  [['check', RECIPE, '--max-warnings', '0'], /nothing to report/],
  [['setpoint', RECIPE, '--json'], /"command": "setpoint"/],
  [['gauge', RECIPE, '-o', 'gauge.pdf'], null],
  [['freeze', RECIPE], null],
  [['check', RECIPE, '--frozen'], /nothing to report/],
  [['release', RECIPE, '--masses', '2.1 mg, 2.2 mg', '--log', 'checks.csv', '--incomplete', '--json'], /"decision"/],
  [['sweep', RECIPE, '--grid', 'process.prime=1:3:2', '--take', 'cavity.gross_uL', '--workers', '2'], /cavity\.gross/],
];

/** Bytes of a PDF begin so, ISO 32000-1, 7.5.2. */
const isPdf = path => readFileSync(path).subarray(0, 5).toString() === '%PDF-';

function pathOf(version) {
  const npx = ['--yes', `node@${version}`, '--print', 'process.execPath'];
  const { status, stdout, stderr } = spawnSync('npx', npx, { encoding: 'utf8', cwd: tmpdir() });
  if (status === 0) return stdout.trim();
  const reason =
    (stderr || '').split('\n').find(line => /npm (?:error|ERR!) code/.test(line)) ?? `npx ended with ${status}`;
  console.error(`Node ${version} did not come from the package registry (${reason.trim()}).`);
  console.error(
    'The smoke test needs the registry once for each version: put it within reach, and run `npm run smoke` again.',
  );
  process.exit(3);
}

function smoke(node) {
  const folder = mkdtempSync(join(tmpdir(), 'dwellbook-smoke-'));
  try {
    cpSync(join(ROOT, 'recipes', RECIPE), join(folder, RECIPE));
    const wrong = [];
    for (const [words, said] of CALLS) {
      const program = join(ROOT, 'bin', 'dwellbook.js');
      const { status, stdout, stderr } = spawnSync(node, [program, ...words], { cwd: folder, encoding: 'utf8' });
      // a syringe may be rejected: that is a result too
      const ended = status === 0 || (words[0] === 'release' && status === 1);
      if (!ended || (said !== null && !said.test(stdout))) {
        wrong.push(`${words.join(' ')}: status ${status}\n${stdout.slice(0, 300)}${stderr.slice(0, 600)}`);
      }
    }
    if (wrong.length === 0 && !isPdf(join(folder, 'gauge.pdf'))) wrong.push('gauge.pdf is no PDF');
    return wrong;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const asked = process.argv.slice(2);
let failed = false;
for (const version of asked.length > 0 ? asked : VERSIONS) {
  const node = pathOf(version);
  const { stdout } = spawnSync(node, ['--version'], { encoding: 'utf8' });
  const wrong = smoke(node);
  console.log(`Node ${stdout.trim()}: ${wrong.length === 0 ? `${CALLS.length} calls as they should be` : 'fails'}`);
  for (const text of wrong) console.log(text);
  failed ||= wrong.length > 0;
}
process.exit(failed ? 1 : 0);
