import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { runProgram } from '../../../src/cli/program.ts';
import { RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { fakeIo } from '../fake-io.ts';

const NEEDLE_PART = 'gauge: 21\nwall: regular\nlength: 12.7 mm\n';
const FILES = {
  '.git/HEAD': '',
  'parts/amber.yaml': RESIN_PART,
  'parts/needles/21.yaml': NEEDLE_PART,
  'parts/bench.yaml': 'takt: 30 s\ntolerance: 8 %\ntemperature: 21 degC\n',
  'line/keep.yaml': 'kept\n',
};

async function run(argv: string[], files: Record<string, string> = FILES) {
  const io = fakeIo(files);
  const status = await runProgram(['new', ...argv], io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

/** What `check` says about a text at a path. */
async function check(path: string, text: string) {
  const io = fakeIo({ ...FILES, [path]: text });
  const status = await runProgram(['check', path, '--json'], io);
  return { status, diagnostics: JSON.parse(io.out()).diagnostics };
}

describe('new', () => {
  it('without options it is a whole recipe that is sound, and that a setpoint can be found for', async () => {
    const { status, out, err } = await run([]);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(out.split('\n')[0]).toBe('# yaml-language-server: $schema=recipe.schema.json');
    expect(await check('x.yaml', out)).toEqual({ status: 0, diagnostics: [] });
    const io = fakeIo({ 'x.yaml': out });
    expect(await runProgram(['setpoint', 'x.yaml'], io)).toBe(0);
  });

  it('has lines for mixing and the oven to be taken into use, which then do', async () => {
    const { out } = await run([]);
    const kinetics =
      '{model: castro-macosko, A1: 2.5e6 1/s, E1: 62 kJ/mol, A2: 2.4e6 1/s, E2: 57 kJ/mol, m: 0.9, n: 1.2, gel_conversion: 0.55, c1: 1.5, c2: 1}';
    const used = out
      .replace(/^( +)# (mix|scale|glass|oven|cup):/gm, '$1$2:')
      .replace(/cure: \{.*?\}/, `cure: ${kinetics}`);
    expect(used.match(/^ +(?:mix|scale|glass|oven|cup):/gm)).toHaveLength(5);
    expect((await check('x.yaml', used)).status).toBe(0);
    for (const command of ['mix', 'oven']) {
      const io = fakeIo({ 'x.yaml': used });
      expect(await runProgram([command, 'x.yaml', '--json'], io)).toBe(0);
      expect(JSON.parse(io.out()).result).not.toBeNull();
    }
  });

  it('takes parts by option and by their keys, relative to the new file, and values on top', async () => {
    const { status, err, written } = await run([
      'line/slim.yaml',
      '--resin',
      'parts/amber.yaml',
      '--from',
      'parts/needles/21.yaml',
      'parts/bench.yaml',
      '--gauge',
      '22',
      '--temperature',
      '20 ± 1 degC',
    ]);
    expect({ status, err }).toEqual({
      status: 0,
      err: 'line/slim.yaml: written; next: `dwellbook check line/slim.yaml`\n',
    });
    const text = written.get('line/slim.yaml') as string;
    expect(parse(text)).toMatchObject({
      recipe: 1,
      name: 'Slim',
      resin: { from: '../parts/amber.yaml' },
      needle: { from: '../parts/needles/21.yaml', gauge: 22 },
      process: { from: '../parts/bench.yaml', temperature: '20 ± 1 degC' },
    });
    expect(
      (await check('line/slim.yaml', text)).diagnostics.filter((d: { severity: string }) => d.severity === 'error'),
    ).toEqual([]);
  });

  it('quotes a path that a shell would take apart', async () => {
    const { err } = await run(["line/Küste it's.yaml"]);
    expect(err).toContain("next: `dwellbook check 'line/Küste it'\\''s.yaml'`");
    expect((await run(['line/Küste.yaml'])).err).toContain('next: `dwellbook check line/Küste.yaml`');
  });

  it('writes values into whole blocks too', async () => {
    const { out } = await run([
      '--name',
      'Hydrophone: "deep"',
      '--gauge',
      '20',
      '--wall',
      'regular',
      '--needle-length',
      '0.5 in',
      '--takt',
      '45 s',
      '--ready-after',
      '10 min',
      '--tolerance',
      '8 %',
      '--schema',
      'schemas/recipe.json',
    ]);
    expect(parse(out)).toMatchObject({
      name: 'Hydrophone: "deep"',
      needle: { gauge: 20, wall: 'regular', length: '0.5 in' },
      process: { takt: '45 s', ready_after: '10 min', tolerance: '8 %' },
    });
    expect(out).toMatch(/^# yaml-language-server: \$schema=schemas\/recipe\.json\n/);
    expect((await check('x.yaml', out)).diagnostics).toEqual([]);
  });

  it('keeps a file that exists, but for --force', async () => {
    expect(await run(['line/keep.yaml'])).toMatchObject({
      status: 3,
      err: 'error: line/keep.yaml exists and is kept; --force writes over it\n',
    });
    const forced = await run(['line/keep.yaml', '--force']);
    expect(forced.status).toBe(0);
    expect(forced.written.has('line/keep.yaml')).toBe(true);
  });

  it('writes nothing when a part is broken, and shows where', async () => {
    const { status, err, written } = await run(['x.yaml', '--resin', 'parts/bad.yaml'], {
      ...FILES,
      'parts/bad.yaml': 'density: 1 mm\n',
    });
    expect(status).toBe(1);
    expect(err).toMatch(/^parts\/bad\.yaml:1:10: error: .*\[unit-mismatch\]/);
    expect(written.size).toBe(0);
  });

  it.each([
    [['x.yaml', '--resin', 'nowhere.yaml'], 3, /nowhere\.yaml: there is no such file/],
    [['x.yaml', '--resin', 'parts'], 3, /parts: it is a folder/],
    [['nowhere/x.yaml'], 3, /nowhere: there is no such folder/],
    [['x.yaml', '--from', 'parts/amber.yaml', '--resin', 'parts/amber.yaml'], 2, /a part for "resin" already/],
    [['x.yaml', '--from', 'line/keep.yaml'], 2, /line\/keep\.yaml:1:1: /],
    [['x.yaml', '--temperature', '20 mm'], 2, /--temperature: /],
    [['x.yaml', '--gauge', 'big'], 2, /gauge/],
    [['x.yaml', '--wall', 'thick'], 2, /regular, thin or extra-thin/],
    [['x.yaml', '-o', 'y.yaml'], 2, /name one file/],
  ])('%j ends with %i', async (argv, status, message) => {
    const result = await run(argv);
    expect(result.status).toBe(status);
    expect(result.err).toMatch(message);
    expect(result.written.size).toBe(0);
  });

  it('a recipe is no part, and keys of two blocks are not guessed', async () => {
    expect((await run(['x.yaml', '--from', 'r.yaml'], { 'r.yaml': WHOLE })).err).toMatch(
      /r\.yaml is a recipe, and no part of one/,
    );
    expect((await run(['x.yaml', '--from', 'p.yaml'], { 'p.yaml': 'pressure: 200 kPa\n' })).err).toMatch(
      /do not tell which block it is/,
    );
  });
});
