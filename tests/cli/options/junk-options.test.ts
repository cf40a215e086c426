import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { COMMANDS } from '../../../src/cli/command-list.ts';
import { declared } from '../../../src/cli/run-command.ts';
import { shareOf } from '../../helpers/repetitions.ts';
import { root } from '../built-program.ts';
import { SPREAD_SHARD } from '../shard/spread-shard.ts';
import { type Ending, unsound, type WatchedProgram, watchedProgram } from '../watched-run.ts';

// Whatever stands after an option is used or refused, in plain words: no fault, no endless run, no number that is none.

const file = (...path: string[]) => readFileSync(join(root, ...path), 'utf8');
const FILES: Readonly<Record<string, string | Uint8Array>> = {
  'gauge.png': new Uint8Array(readFileSync(join(root, 'tests', 'fixtures', 'pictures', 'gauge.png'))),
  'a.yaml': file('recipes', 'tide-gauge-pigtail.yaml'),
  'b.yaml': file('recipes', 'tide-gauge-pigtail.yaml').replace('max: 13.5 mm', 'max: 12 mm'),
  'runs.csv': file('examples', 'floor', 'trial-runs.csv'),
  'checks.csv': file('examples', 'floor', 'checks.csv'),
  'study.csv': file('examples', 'floor', 'gauge-study.csv'),
  'face.yaml': 'face: 1.25 mm\n',
  'shard.json': SPREAD_SHARD,
};

/** A call of each command that is sound without the option that is tried. */
const SOUND: Readonly<Record<string, string>> = {
  batch: 'batch a.yaml --connectors 48',
  compare: 'compare a.yaml a.yaml',
  completion: 'completion bash',
  explain: 'explain key-missing',
  family: 'family a.yaml b.yaml --pressure 200kPa',
  fit: 'fit a.yaml runs.csv',
  follow: 'follow checks.csv a.yaml',
  'gauge-rr': 'gauge-rr study.csv --part dot --operator reader --value diameter',
  merge: 'merge shard.json',
  needles: 'needles 22',
  new: 'new',
  qualify: 'qualify a.yaml --samples 10',
  recall: 'recall checks.csv --lot L-1',
  rehearse: 'rehearse a.yaml --samples 10',
  release: 'release a.yaml --masses 9.0mg,9.1mg --shots 5',
  scan: 'scan gauge.png',
  schema: 'schema',
  spread: 'spread a.yaml --samples 1000',
  sweep: 'sweep a.yaml --grid process.prime=1:3:2 --take shot.volume_uL',
  trend: 'trend checks.csv',
};
const soundCall = (name: string) => (SOUND[name] ?? `${name} a.yaml`).split(' ');
/** They write a text, a schema or a script, not a document. */
const NO_DOCUMENT = ['new', 'schema', 'completion', 'explain', 'needles', 'check', 'compare', 'sweep', 'merge'];

const JUNK = [
  '',
  ' ',
  '=',
  '-',
  '--',
  '0',
  '-1',
  '1e999',
  '-0 kPa',
  '1e-999 s',
  'nan',
  'inf s',
  '99999999999999999999',
  '9007199254740991',
  '1000000',
  '1e300',
  '1e-300',
  '1e25',
  '__proto__',
  'constructor=1',
  '__proto__.polluted=1',
  '5 kPa ± 1 kPa',
  '= 1/0 s',
  `= ${'('.repeat(500)}1`,
  '= 9^9^9^9 s',
  '1 mm, 2 mm,,',
  '22x',
  '1:2:0',
  'needle.bore=1 mm:2 mm:1e9',
  'needle.bore=1 mm:1 mm:3',
  'process.takt=1 s:1e9 s:1e9',
  '5min@1e9',
  '1e30 s@1',
  '\u0000\u001b[2J\u202e🚢',
  'ﬁ½²'.repeat(20),
  '{a: [',
  'x'.repeat(20_000),
  '../../../../../etc/passwd',
  '/dev/zero',
];

/** For options that name a file to be written, whose making takes its time. */
const PATHS = ['', '-', '\u0000', 'x'.repeat(20_000)];
const OUTPUTS = ['--out', '--sheet'];

let program: WatchedProgram;
beforeAll(async () => {
  program = await watchedProgram();
});
afterAll(() => program.close());

function wrongOf(name: string, option: string, ending: Ending): string | null {
  const wrong = unsound(ending, [0, 1, 2, 3]);
  // What is no document, or in a file, is judged by its status and its words alone.
  return wrong !== null && (NO_DOCUMENT.includes(name) || option === '--out') && /^no (?:JSON|document)/.test(wrong)
    ? null
    : wrong;
}

async function optionsOf(name: string): Promise<string[]> {
  const entry = COMMANDS.find(command => command.name === name)!;
  const { command } = declared(entry, (await entry.load()).command, {
    stdout: () => {},
    stderr: () => {},
    columns: 80,
  });
  return command.options.filter(o => o.required || o.optional).map(o => o.long ?? o.short ?? '');
}

describe('junk after an option', () => {
  it.each(COMMANDS.map(({ name }) => name))('of %s', async name => {
    const wrong: Record<string, string> = {};
    let turn = name.length;
    for (const option of await optionsOf(name)) {
      for (const junk of OUTPUTS.includes(option) ? PATHS : shareOf(JUNK, 4, turn++)) {
        const ending = await program.run([...soundCall(name), '--json', `${option}=${junk}`], FILES);
        const said = wrongOf(name, option, ending);
        if (said !== null) wrong[`${option}=${junk.slice(0, 40)}`] = said;
      }
    }
    expect(wrong).toEqual({});
  });

  it('of all of them is tried', async () => {
    const counts = await Promise.all(COMMANDS.map(async ({ name }) => (await optionsOf(name)).length));
    expect(counts.reduce((a, b) => a + b, 0)).toBeGreaterThan(150);
  });
});
