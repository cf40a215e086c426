import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { fakeIo } from '../fake-io.ts';

const SOUND = readFileSync(join(import.meta.dirname, '../../../recipes/tide-gauge-pigtail.yaml'), 'utf8');
const WRONG = 'recipe: 1\nneedle: {gauge: 22, lenght: 12.7 mm}\n';
/** One warning: the regulator goes beyond the rating. */
const WARNED = `recipe: 1
station:
  pressure: {min: 10 kPa, max: 800 kPa, step: 1 kPa}
  rating: 100 psi
`;
const SILENCED = `${WARNED}silence:\n  - {code: station-above-rating, reason: the regulator has a stop}\n`;

async function check(args: string[], files: Record<string, string>) {
  const io = fakeIo(files);
  const status = await runProgram(['check', ...args], io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

describe('check', () => {
  it.each([
    ['a sound recipe', { 'a.yaml': SOUND }, [], 0],
    ['an error', { 'a.yaml': WRONG }, [], 1],
    ['a warning', { 'a.yaml': WARNED }, [], 0],
    ['a warning too many', { 'a.yaml': WARNED }, ['--max-warnings', '0'], 1],
    ['as many warnings as allowed', { 'a.yaml': WARNED }, ['--max-warnings', '1'], 0],
    ['a silenced warning', { 'a.yaml': SILENCED }, ['--max-warnings', '0'], 0],
  ])('%s', async (_, files, options, expected) => {
    expect((await check(['a.yaml', ...options], files)).status).toBe(expected);
  });

  it('says on standard error why a warning ends it with 1', async () => {
    const { err } = await check(['a.yaml', '--max-warnings', '0'], { 'a.yaml': WARNED });
    expect(err).toBe('error: 1 warning, --max-warnings allows 0\n');
  });

  it('counts what is wrong with a part once, however many recipes start from it', async () => {
    const files = {
      'parts/bench.yaml': 'pressure: {min: 10 kPa, max: 800 kPa, step: 1 kPa}\nrating: 100 psi\n',
      'a.yaml': 'recipe: 1\nstation: {from: parts/bench.yaml}\n',
      'b.yaml': 'recipe: 1\nstation: {from: parts/bench.yaml}\n',
    };
    const { status, out } = await check(['a.yaml', 'b.yaml', '--max-warnings', '1'], files);
    expect(status).toBe(0);
    expect(out).toMatch(/^ {4}recipes: a\.yaml, b\.yaml\n2 recipes checked: 1 warning\n$/m);
  });

  it('shows the line with the place of a rule, and its code', async () => {
    const { out } = await check(['a.yaml'], { 'a.yaml': WARNED });
    expect(
      out,
    ).toBe(`a.yaml:3:32: warning: the station goes up to 800 kPa, the lowest rating in the air line is 689.5 kPa [station-above-rating]
    3 |   pressure: {min: 10 kPa, max: 800 kPa, step: 1 kPa}
      |                                ^^^^^^^
    help: Limit the regulator to the rating, and write that limit as \`station.pressure.max\`.
1 recipe checked: 1 warning
`);
  });

  it('lists what is silenced, with its place and reason, in JSON', async () => {
    const { out } = await check(['a.yaml', '--json'], { 'a.yaml': SILENCED });
    expect(JSON.parse(out)).toMatchObject({
      diagnostics: [],
      result: {
        errors: 0,
        warnings: 0,
        silenced: [{ code: 'station-above-rating', line: 3, column: 32, reason: 'the regulator has a stop' }],
      },
    });
  });

  it.each([
    ['check', ['check', 'a.yaml'], 'out'],
    ['check of a folder', ['check', '.'], 'out'],
    ['a command over recipes', ['shot', 'a.yaml'], 'err'],
  ] as const)('%s underlines the --set that is wrong', async (_, argv, stream) => {
    const io = fakeIo({ 'a.yaml': SOUND });
    await runProgram([...argv, '--set', 'settings.dwell=0.4 s', '--set', 'needle.bore=0.41'], io);
    expect(io[stream]()).toContain(
      [
        '--set:2:13: error: 0.41 has no unit; a length needs one: mm, um, in or mil [unit-missing]',
        '    2 | needle.bore=0.41',
        '      |             ^^^^',
        '    help: write it like 0.41 mm',
        '',
      ].join('\n'),
    );
  });

  it('--set can make a sound recipe unsound', async () => {
    const { status, out } = await check(['a.yaml', '--set', 'settings.pressure=700 kPa'], { 'a.yaml': SOUND });
    expect(status).toBe(1);
    expect(out).toContain('[pressure-above-rating]');
  });

  it('writes every report beside the text, from one run', async () => {
    const args = ['json', 'jsonl', 'sarif', 'junit', 'github', 'text'].flatMap(f => ['--report', `${f}=out.${f}`]);
    const { out, written } = await check(['a.yaml', 'b.yaml', ...args], { 'a.yaml': WARNED, 'b.yaml': WRONG });
    expect(out).toContain('2 recipes checked: 1 error, 1 warning');
    expect(written.get('out.text')).toBe(out);
    expect(JSON.parse(String(written.get('out.json')))).toHaveLength(2);
    expect(String(written.get('out.jsonl')).trim().split('\n')).toHaveLength(2);
    expect(JSON.parse(String(written.get('out.sarif'))).runs[0].results).toHaveLength(2);
    expect(written.get('out.junit')).toContain('tests="2" failures="1"');
    expect(written.get('out.github')).toMatch(/^::error file=b\.yaml,/);
  });

  it.each([
    [['--report', 'xml=a.xml'], /"xml" is no format/],
    [['--report', 'json'], /write FORMAT=FILE/],
    [['--format', 'yaml'], /Formats: text, json, jsonl, sarif, junit, github/],
    [['--max-warnings', '-1'], /argument '-1' is invalid/],
  ])('%j is wrong usage', async (args, message) => {
    const { status, err } = await check(['a.yaml', ...args], { 'a.yaml': SOUND });
    expect(status).toBe(2);
    expect(err).toMatch(message);
  });

  it('SARIF names files from the root of the repository, wherever it is called', async () => {
    const files = { 'site/.git/HEAD': '', 'site/line/a.yaml': WARNED };
    const { out } = await check(['site/line/a.yaml', '--format', 'sarif'], files);
    const place = JSON.parse(out).runs[0].results[0].locations[0].physicalLocation;
    expect(place.artifactLocation.uri).toBe('line/a.yaml');
  });

  it('gives the same bytes again', async () => {
    const files = { 'a.yaml': WARNED, 'b.yaml': WRONG };
    for (const format of ['text', 'json', 'jsonl', 'sarif', 'junit', 'github']) {
      const [one, two] = [await check(['.', '--format', format], files), await check(['.', '--format', format], files)];
      expect(one.out).toBe(two.out);
    }
  });
});

describe('explain', () => {
  it('prints a rule in full', async () => {
    const io = fakeIo();
    expect(await runProgram(['explain', 'ramp-missing'], io)).toBe(0);
    expect(io.out()).toMatch(/^ramp-missing \(warning\): The shot needs a ramp[\s\S]*Why\n[\s\S]*What to do\n/);
  });

  it('lists every code, also as JSON', async () => {
    const [text, json] = [fakeIo(), fakeIo()];
    await runProgram(['explain'], text);
    await runProgram(['explain', '--json'], json);
    const { codes } = JSON.parse(json.out()).result;
    expect(codes.length).toBeGreaterThan(100);
    for (const { code } of codes) expect(text.out()).toContain(code);
  });

  it('suggests the code that was meant', async () => {
    const io = fakeIo();
    expect(await runProgram(['explain', 'ramp-mising'], io)).toBe(2);
    expect(io.err()).toContain('did you mean "ramp-missing"?');
  });
});
