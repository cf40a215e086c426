import { cpSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { COMMANDS } from '../../../src/cli/command-list.ts';
import { root } from '../built-program.ts';
import { testFolder } from '../folder-io.ts';

const folder = testFolder();
for (const name of ['recipes', 'examples']) cpSync(join(root, name), join(folder.path, name), { recursive: true });
for (const name of ['err', 'pictures'])
  cpSync(join(root, 'tests', 'fixtures', name), join(folder.path, name), { recursive: true });
afterAll(() => folder.remove());

const A = 'recipes/tide-gauge-pigtail.yaml';
const LONG = 'recipes/tide-gauge-pigtail-calibrated.yaml'; // no name of a demo recipe and its file take more room
const OVEN = 'recipes/hydrophone-pigtail.yaml';
const FLOOR = 'examples/floor';

/** Calls of every command that writes for people; dear ones with few samples. */
const CALLS: readonly string[] = [
  ...['check recipes', 'check err/rules', 'explain', 'explain gauge-poor cavity-incomplete', 'needles'],
  ...[`cavity ${LONG}`, `cavity ${OVEN}`, `shot ${LONG}`, `setpoint ${A}`, `setpoint ${A} --needles 20,22x12.7mm,30`],
  ...[`gauge ${LONG}`, `ramp ${A} --grid`, `mix ${OVEN}`, `insert ${A}`, `oven ${OVEN}`],
  ...[`spread ${A} --samples 500`, `rehearse ${A} --samples 20`, `card ${A}`, `trials ${A}`],
  `batch ${A} --connectors 240 --stations 2 --shift 08:00-12:00 --shift 12:30-16:30 --prefer finish --scrap 3% --kit-price 18`,
  `batch ${A} recipes/current-meter-pigtail.yaml --connectors 20,30 --changeover 5min --shift 08:00-12:00 --kit-price 18`,
  `family ${A} recipes/current-meter-pigtail.yaml`,
  `release ${A} --dots 5.2mm,5.25mm --age 13min`,
  `fit ${FLOOR}/pigtail.yaml ${FLOOR}/trial-runs.csv`,
  `fit ${FLOOR}/pigtail.yaml --flow-curve ${FLOOR}/flow-curve.csv`,
  `fit ${FLOOR}/pigtail.yaml --cure ${FLOOR}/thickening.csv`,
  ...[`trend ${FLOOR}/checks.csv`, `follow ${FLOOR}/checks.csv ${FLOOR}/pigtail.yaml`],
  `gauge-rr ${FLOOR}/gauge-study.csv --part dot --operator reader --value diameter --tolerance 0.7`,
  `recall --lot L-0412 ${FLOOR}/checks.csv`,
  `qualify ${FLOOR}/pigtail.yaml --trials ${FLOOR}/trial-runs.csv --log ${FLOOR}/checks.csv --samples 20`,
  ...[`compare ${LONG} ${A}`, `freeze ${A} -o some.lock`],
  `sweep ${A} --grid process.prime=1:3:2 --take shot.volume_uL,setpoint.chosen.dwell_s,ramp.worst_error_pct`,
  'scan pictures/gauge.png --dpi 110',
];
/** What these print is for programs; `merge` prints what the command prints whose shares it puts together. */
const FOR_PROGRAMS = ['schema', 'completion', 'new', 'merge'];

test('every command is called', () => {
  const called = CALLS.map(call => call.split(' ')[0]!);
  expect(
    COMMANDS.map(({ name }) => name).filter(name => !called.includes(name) && !FOR_PROGRAMS.includes(name)),
  ).toEqual([]);
});

describe.each([60, 80, 100])('on a terminal of %d columns', columns => {
  test.each(CALLS)('%s: no line is wider', async call => {
    const isTTY = { stdout: true, stderr: true };
    const { out, err, status } = await folder.run([...call.split(' '), '--color', 'never'], '.', undefined, {
      columns,
      isTTY,
    });
    expect(status, err).toBeLessThanOrEqual(1);
    const wide = `${out}\n${err}`.split('\n').filter(line => [...line].length > columns);
    // one word may be wider, and a digest leaves no room for its label
    expect(wide.filter(line => line.trim().includes(' ') && !/[0-9a-f]{64}$/.test(line))).toEqual([]);
  });
});
