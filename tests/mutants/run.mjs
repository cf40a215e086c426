#!/usr/bin/env node
// npm run mutants: does a test fail when the code is wrong? Mutants drawn by a seed in each layer or room that is named, each
// against the tests of that layer or room which reach it; the survivors against those that --more names. A run that was ended goes on.
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { Stryker } from '@stryker-mutator/core';
import { globSync } from 'tinyglobby';
import { drawPlaces, makeOnly } from './mutators.mjs';

process.chdir(join(import.meta.dirname, '..', '..'));
const LAYERS = ['numeric', 'stats', 'physics', 'recipe', 'rules', 'analysis'];
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    seed: { type: 'string', default: '1' },
    count: { type: 'string', default: '60' },
    more: { type: 'string' },
    results: { type: 'string', default: join(tmpdir(), 'dwellbook-mutants') },
    workers: { type: 'string', default: '2' },
  },
});
const { seed, count, more, results } = values;
mkdirSync(results, { recursive: true });

for (const folder of positionals.length > 0 ? positionals : LAYERS) {
  const places = await drawPlaces(globSync(`src/${folder}/**/*.ts`).sort(), { seed, count: Number(count) });
  const file = join(results, `${folder.replaceAll('/', '-')}-${seed}`);
  let tried = await triedOut(places, `${file}.jsonl`, `tests/${folder}/**/!(*.long).test.ts`);
  if (more) {
    const alive = places.filter(({ name }) => ['Survived', 'NoCoverage'].includes(tried.get(name)?.status));
    tried = new Map([...tried, ...(await triedOut(alive, `${file}-more.jsonl`, more))]);
  }
  const statuses = [...tried.values()].map(({ status }) => status);
  const counts = [...new Set(statuses)].map(status => `${statuses.filter(one => one === status).length} ${status}`);
  console.log(`${folder}: ${places.length} drawn, ${counts.join(', ')}`);
  for (const [name, { status, replacement }] of tried) {
    if (status !== 'Killed') console.log(`  ${status} ${name} → ${replacement.replace(/\s+/g, ' ')}`);
  }
}

/** What became of the mutants, by their names: from the file of results, else tried out. */
async function triedOut(places, file, tests) {
  const known = resultsIn(file);
  const due = places.filter(({ name }) => !known.has(name));
  if (due.length > 0) await tryOut(due, file, tests);
  return resultsIn(file);
}

function resultsIn(file) {
  const lines = existsSync(file) ? readFileSync(file, 'utf8').trimEnd().split('\n') : [];
  return new Map(lines.map(line => JSON.parse(line)).map(one => [one.name, one]));
}

async function tryOut(places, file, tests) {
  makeOnly(places);
  process.env.MUTANT_TESTS = tests;
  process.env.MUTANT_RESULTS = file;
  await new Stryker({
    mutate: places.map(({ lines }) => lines),
    testRunner: 'vitest',
    vitest: { configFile: 'tests/mutants/vitest.config.ts', related: false },
    plugins: ['@stryker-mutator/vitest-runner', join(import.meta.dirname, 'kept-results.mjs')],
    reporters: ['kept'],
    logLevel: 'warn',
    coverageAnalysis: 'perTest',
    concurrency: Number(values.workers),
    tempDirName: join(results, 'sandbox'),
    cleanTempDir: 'always',
    // vitest strips types without looking at them, and TypeScript 7 has no functions to rewrite its settings with
    disableTypeChecks: false,
    tsconfigFile: '',
    ignorePatterns: ['dist', 'demo-output'],
    // Against mutants that never end, not against a slow machine.
    timeoutMS: 60_000,
    timeoutFactor: 4,
    dryRunTimeoutMinutes: 60,
    allowEmpty: true,
  }).runMutationTest();
}
