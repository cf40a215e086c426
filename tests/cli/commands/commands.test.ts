import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { runProgram } from '../../../src/cli/program.ts';
import { type FakeIo, fakeIo } from '../fake-io.ts';

const RECIPE = readFileSync(join(import.meta.dirname, '../../../recipes/tide-gauge-pigtail.yaml'), 'utf8');
/** The shape is sound, but there is nothing to compute from. */
const BARE = 'recipe: 1\nname: Bare\n';
const BROKEN = 'recipe: 1\nneedel: {gauge: 22}\nsettings: {pressure: 12 mm}\n';

async function run(argv: string[], files: Record<string, string> = { 'a.yaml': RECIPE }, stdin?: string) {
  const io: FakeIo = fakeIo(files, { stdin });
  const status = await runProgram(argv, io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

async function json(argv: string[], files?: Record<string, string>) {
  return JSON.parse((await run([...argv, '--json'], files)).out);
}

describe('commands over recipes', () => {
  it.each(['cavity', 'shot', 'setpoint', 'gauge', 'ramp'])('%s writes one document for one file', async command => {
    const { status, out, err } = await run([command, 'a.yaml', '--json']);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    const document = JSON.parse(out);
    expect(Object.keys(document)).toEqual(['format', 'command', 'recipe', 'name', 'result', 'diagnostics']);
    expect(document).toMatchObject({ format: 1, command, recipe: 'a.yaml', name: 'Tide-gauge pigtail' });
    expect(document.result).not.toBeNull();
  });

  it.each(['cavity', 'shot', 'setpoint', 'gauge', 'ramp'])(
    '%s prints lines of at most 80 characters',
    async command => {
      const { status, out } = await run([command, 'a.yaml']);
      expect(status).toBe(0);
      expect(out).toMatch(/^Tide-gauge pigtail \(a\.yaml\)\n\n/);
      for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
    },
  );

  it('several files and folders give an array', async () => {
    const files = { 'l/a.yaml': RECIPE, 'l/b.yaml': BARE };
    expect((await json(['cavity', 'l/a.yaml', 'l/b.yaml'], files)).map((d: { recipe: string }) => d.recipe)).toEqual([
      'l/a.yaml',
      'l/b.yaml',
    ]);
    expect(await json(['cavity', 'l'], { 'l/a.yaml': RECIPE })).toHaveLength(1);
  });

  it('a result that cannot be computed is null, says why, and ends with 1; the others are computed', async () => {
    const { status, out } = await run(['cavity', 'a.yaml', 'b.yaml', '--json'], { 'a.yaml': RECIPE, 'b.yaml': BARE });
    const [good, bad] = JSON.parse(out);
    expect(status).toBe(1);
    expect(good.result).not.toBeNull();
    expect(bad.result).toBeNull();
    expect(bad.diagnostics).toContainEqual(expect.objectContaining({ severity: 'error', file: 'b.yaml', line: 1 }));
  });

  it('a broken file ends with 1 and shows every error with its place on standard error', async () => {
    const { status, out, err } = await run(['shot', 'a.yaml'], { 'a.yaml': BROKEN });
    expect({ status, out }).toEqual({ status: 1, out: '' });
    expect(err).toMatch(/^a\.yaml:2:1: error: .*\[key-unknown\]$/m);
    expect(err).toMatch(/^a\.yaml:3:22: error: .*\[unit-mismatch\]$/m);
  });

  it('--set overrides a value on every command', async () => {
    const plain = await json(['cavity', 'a.yaml']);
    const wide = await json(['cavity', 'a.yaml', '--set', 'connector.allowance=0 %']);
    // The allowance is a share of the backfill: without 3 % it is the plain one over 1.03.
    expect(wide.result.backfill_aim_uL).toBeCloseTo(plain.result.backfill_aim_uL / 1.03, 12);
  });

  it.each(['nonsense', '=3'])('--set %s is wrong usage', async text => {
    expect((await run(['cavity', 'a.yaml', '--set', text])).status).toBe(2);
  });

  it('-o writes what would have been printed, without colours', async () => {
    const { out } = await run(['cavity', 'a.yaml']);
    const toFile = await run(['cavity', 'a.yaml', '-o', 'x.txt']);
    expect(toFile.out).toBe('');
    expect(toFile.written.get('x.txt')).toBe(out);
  });

  it('reads standard input', async () => {
    const { status, out } = await run(['cavity', '-', '--json'], {}, RECIPE);
    expect(status).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ recipe: '-', name: 'Tide-gauge pigtail' });
  });

  it('a path that is not there ends with 3', async () => {
    expect(await run(['cavity', 'no.yaml'])).toMatchObject({
      status: 3,
      err: 'error: no.yaml: there is no such file or folder\n',
    });
  });
});

describe('check', () => {
  it('is silent about a sound recipe and ends with 0', async () => {
    expect(await run(['check', 'a.yaml'])).toMatchObject({
      status: 0,
      out: '1 recipe checked: nothing to report\n',
      err: '',
    });
  });

  it('looks at this folder when nothing is named, and counts what it left out', async () => {
    const { status, out } = await run(['check'], { 'x/a.yaml': RECIPE, 'parts/b.yaml': 'face: 1 mm\n' });
    expect(status).toBe(0);
    expect(out).toBe('1 recipe checked: nothing to report; 1 without a `recipe:` key left out\n');
  });

  it('ends with 1 on errors; JSON gives each with its place and keys', async () => {
    const { status, out } = await run(['check', 'a.yaml', '--format', 'json'], { 'a.yaml': BROKEN });
    expect(status).toBe(1);
    const { result, diagnostics } = JSON.parse(out);
    expect(result).toMatchObject({ errors: 2, warnings: 0 });
    const keys = ['code', 'severity', 'message', 'file', 'line', 'column', 'end_line', 'end_column', 'path', 'help'];
    for (const diagnostic of diagnostics) expect(Object.keys(diagnostic)).toEqual(keys);
  });

  it('writes reports beside the text', async () => {
    const { out, written } = await run(['check', 'a.yaml', '--report', 'json=r.json', '--report', 'text=r.txt']);
    expect(written.get('r.txt')).toBe(out);
    expect(JSON.parse(String(written.get('r.json')))).toMatchObject({ command: 'check' });
  });

  it.each([
    [['--report', 'json'], /write FORMAT=FILE/],
    [['--report', 'xml=x'], /"xml" is no format/],
    [['--format', 'xml'], /Formats: text, json/],
    [['--max-warnings', '-1'], /argument missing|whole number/],
    [['--max-warnings', 'many'], /whole number/],
  ])('%j is wrong usage', async (argv, message) => {
    const { status, err } = await run(['check', 'a.yaml', ...argv]);
    expect(status).toBe(2);
    expect(err).toMatch(message);
  });
});

describe('options of a quantity', () => {
  it('take any unit of the right dimension', async () => {
    const metric = await json(['shot', 'a.yaml', '--pressure', '206.8427184 kPa', '--dwell', '600 ms']);
    const trade = await json(['shot', 'a.yaml', '--pressure', '30 psi', '--dwell', '0.6 s']);
    // 1 psi = 6894.757293168 Pa (NIST SP 811, B.8); ten digits of it here.
    expect(trade.result.pressure_kPa).toBeCloseTo(206.8427188, 6);
    expect(trade.result.volume_uL / metric.result.volume_uL).toBeCloseTo(1, 7);
  });

  it.each([
    [['--pressure', '30'], /--pressure: "30" has no unit/],
    [['--pressure', '30 mm'], /--pressure: "30 mm" is not a pressure/],
    [['--pressure', '0 kPa'], /--pressure: "0 kPa" must be above zero/],
    [['--dwell', '1 s ± 0.1 s'], /has a tolerance/],
    [['--lot-factor', '1.1 kPa'], /--lot-factor: /],
  ])('%j is wrong usage', async (argv, message) => {
    const { status, err } = await run(['shot', 'a.yaml', ...argv]);
    expect(status).toBe(2);
    expect(err).toMatch(message);
  });
});

describe('setpoint', () => {
  it('--write puts the setting into the file and leaves the rest of it alone', async () => {
    const { status, out, err, written } = await run(['setpoint', 'a.yaml', '--write', '--json']);
    expect(status).toBe(0);
    const { chosen, program } = JSON.parse(out).result;
    const text = String(written.get('a.yaml'));
    const settings = parse(text).settings;
    expect(settings.pressure).toBe(`${chosen.pressure_kPa} kPa`);
    const [stage, ...more] = program.stages;
    expect(more).toEqual([]);
    expect(settings.dwell).toBe(`${stage.first_dwell_s} s`);
    expect(settings.ramp).toEqual({ add: `${stage.add_s} s`, every: stage.every });
    const rest = (t: string) => t.split('\n').filter(line => !/^ {2}(?:pressure: \d|dwell: \d|ramp: )/.test(line));
    expect(rest(text)).toEqual(rest(RECIPE));
    expect(err).toContain('settings.pressure, settings.dwell and settings.ramp written');
  });

  it('--write leaves a recipe in which nothing is left to be said', async () => {
    const { written } = await run(['setpoint', 'a.yaml', '--write']);
    const checked = await run(['check', 'a.yaml', '--max-warnings', '0'], { 'a.yaml': String(written.get('a.yaml')) });
    expect(checked).toMatchObject({ status: 0, out: '1 recipe checked: nothing to report\n' });
  });

  it.each([
    [['-', '--write'], /standard input/],
    [['a.yaml', '--write', '--set', 'name=x'], /exclude each other/],
    [['a.yaml', '--write', '--age', '20 min'], /conditions of the recipe/],
    [['a.yaml', '--needles', '2x'], /"2x" is no needle/],
    [['a.yaml', '--needles', '99'], /no gauge 99/],
  ])('%j is wrong usage, and writes nothing', async (argv, message) => {
    const { status, err, written } = await run(['setpoint', ...argv], { 'a.yaml': RECIPE }, RECIPE);
    expect(status).toBe(2);
    expect(err).toMatch(message);
    expect(written.size).toBe(0);
  });

  it('compares needles, the length of the recipe where none is given', async () => {
    const { result } = await json(['setpoint', 'a.yaml', '--needles', '20,22x25mm']);
    expect(result.needles.map((n: { gauge: string; length_mm: number }) => [n.gauge, n.length_mm])).toEqual([
      ['20', 12.7],
      ['22', 25],
    ]);
  });
});

describe('gauge', () => {
  it('writes the PDF and says where, the same bytes each time', async () => {
    const first = await run(['gauge', 'a.yaml', '-o', 'g.pdf', '--json']);
    const second = await run(['gauge', 'a.yaml', '-o', 'g.pdf']);
    expect(first.status).toBe(0);
    expect(JSON.parse(first.out).result.file).toBe('g.pdf');
    const bytes = first.written.get('g.pdf') as Uint8Array;
    expect(Buffer.from(bytes).subarray(0, 5).toString()).toBe('%PDF-');
    expect(Buffer.compare(bytes, second.written.get('g.pdf') as Uint8Array)).toBe(0);
  });

  it.each([
    [['--scale-x', '2'], /--scale-x is 2/],
    [['--scale-x', '0'], /above zero/],
    [['--shots', '0'], /whole number/],
    [['--paper', 'a5'], /Allowed choices/],
    [['--date', '2026-02-30'], /YYYY-MM-DD/],
  ])('%j is wrong usage', async (argv, message) => {
    const { status, err } = await run(['gauge', 'a.yaml', '-o', 'g.pdf', ...argv]);
    expect(status).toBe(2);
    expect(err).toMatch(message);
  });

  it.each([
    ['gauge', 'a.yaml', '-o', 'g.png'],
    ['gauge', 'a.yaml', '-o', 'g.svg'],
    ['card', 'a.yaml', '-o', 'card.PNG'],
    ['mix', 'a.yaml', '-o', 'kit'],
    ['trials', 'a.yaml', '--sheet', 'runs.png'],
  ])('%s %s %s %s is refused: a sheet is a PDF', async (...argv) => {
    const { status, err, written } = await run(argv);
    expect(status).toBe(2);
    expect(err).toContain(`${argv[2]} ${argv[3]}: the sheet is a PDF`);
    expect(written.size).toBe(0);
  });

  it('speaks in inches beside millimetres where the station does', async () => {
    const files = { 'a.yaml': RECIPE.replace(/^station:\n/m, 'station:\n  display: {length: in}\n') };
    const { status, out } = await run(['gauge', 'a.yaml'], files);
    expect(status).toBe(0);
    const rings = [...out.matchAll(/^(?:min|aim|max) +([\d.]+) +([\d.]+) /gm)];
    expect(rings).toHaveLength(3);
    for (const [, mm, inches] of rings) expect(Math.abs(Number(inches) - Number(mm) / 25.4)).toBeLessThan(6e-4);
  });

  it('one file cannot hold the sheets of several recipes', async () => {
    const files = { 'a.yaml': RECIPE, 'b.yaml': RECIPE };
    const { status, err, written } = await run(['gauge', 'a.yaml', 'b.yaml', '-o', 'g.pdf'], files);
    expect({ status, size: written.size }).toEqual({ status: 2, size: 0 });
    expect(err).toContain('there are 2 recipes');
  });
});

describe('ramp', () => {
  it('writes every shot as CSV, units in the heads', async () => {
    const { status, out, written } = await run(['ramp', 'a.yaml', '-o', 's.csv', '--json']);
    const { shots } = JSON.parse(out).result;
    const [head, first, ...rest] = String(written.get('s.csv')).trimEnd().split('\n');
    expect(status).toBe(0);
    expect(head).toBe(
      'shot,age [min],viscosity_factor,dispensed [mL],pressure [kPa],dwell [s],program_pressure [kPa],program_dwell [s],error [%]',
    );
    expect(Number(first?.split(',')[5])).toBe(shots[0].dwell_s);
    expect(rest).toHaveLength(shots.length - 1);
  });

  it('a pause shifts age against the count of shots', async () => {
    const age = async (...argv: string[]) => (await json(['ramp', 'a.yaml', ...argv])).result.shots[10].age_min;
    // Shot 11 comes after shot 10: a quarter of an hour later.
    expect((await age('--pause', '15min@10')) - (await age())).toBeCloseTo(15, 9);
  });

  it.each(['15min', '15@3', '15 kPa@3', '15min@0'])('--pause %s is wrong usage', async text => {
    expect((await run(['ramp', 'a.yaml', '--pause', text])).status).toBe(2);
  });
});

describe('commands without a recipe', () => {
  it('needles lists the table, or the gauges named', async () => {
    expect((await json(['needles'])).result.needles.length).toBeGreaterThan(28);
    const { result } = await json(['needles', '20']);
    // Regular-wall gauge chart: 20 G is 0.908 mm outside and 0.603 mm inside.
    expect(result.needles).toHaveLength(1);
    expect(result.needles[0].outside_mm).toBeCloseTo(0.908, 3);
    expect(result.needles[0].bore_mm).toBeCloseTo(0.603, 3);
    expect(await run(['needles', '99'])).toMatchObject({ status: 2 });
  });

  it('schema is draft-07', async () => {
    expect(await json(['schema'])).toMatchObject({ $schema: 'http://json-schema.org/draft-07/schema#' });
  });

  it('explain says why and what to do, suggests, and lists', async () => {
    expect((await run(['explain', 'unit-missing'])).out).toMatch(
      /^unit-missing \(error\): [\s\S]*Why\n[\s\S]*What to do\n/,
    );
    expect(await run(['explain', 'unit-mising'])).toMatchObject({
      status: 2,
      err: expect.stringContaining('did you mean "unit-missing"?'),
    });
    expect((await json(['explain'])).result.codes.length).toBeGreaterThan(50);
  });
});
