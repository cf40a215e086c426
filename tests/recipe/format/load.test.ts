import { describe, expect, test } from 'vitest';
import { FileError } from '../../../src/diagnostics/file-error.ts';
import { finding } from '../../../src/diagnostics/finding.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { loadRecipe, parseRecipe, placeFindings } from '../../../src/recipe/format/load.ts';
import { memoryFiles } from '../memory-files.ts';

const NOTHING = memoryFiles({});
const parse = (text: string, set: string[] = []) => parseRecipe(text, 'a.yaml', NOTHING, { set });
const summary = async (text: string, set: string[] = []) =>
  (await parse(text, set)).findings.map(d => `${d.file}:${d.line}:${d.column} ${d.code} ${d.path}`);

describe('a tolerance that reaches zero', () => {
  test('goes with an offset and a dead time of a calibration, and with nothing else', async () => {
    const text = 'recipe: 1\ncalibration: {pressure_offset: 1 ± 2 kPa, dead_time: {value: 4 ms, tolerance: 9 ms}}\n';
    const { recipe, findings } = await parse(text);
    expect(findings).toEqual([]);
    expect(recipe?.calibration?.pressure_offset).toMatchObject({
      value: 1e3,
      tolerance: { halfWidth: 2e3, per: 'lot' },
    });
    expect(recipe?.calibration?.dead_time).toMatchObject({ value: 4e-3, tolerance: { halfWidth: 9e-3 } });
    expect(await summary('recipe: 1\ncalibration: {viscosity_factor: 1 ± 2}\n')).toEqual([
      'a.yaml:2:33 tolerance-too-wide calibration.viscosity_factor',
    ]);
  });
});

describe('stages of a ramp', () => {
  const stages = (...from: number[]) => `recipe: 1
settings:
  pressure: 210 kPa
  dwell: 0.5 s
  ramp:
${from.map(shot => `    - {from_shot: ${shot}, add: 0.01 s, every: 5}\n`).join('')}`;

  test('start one after the other: two that start at the same shot are as wrong as two out of order', async () => {
    expect(await summary(stages(1, 21, 40))).toEqual([]);
    expect(await summary(stages(1, 21, 21))).toEqual(['a.yaml:8:19 order-wrong settings.ramp[2].from_shot']);
    expect(await summary(stages(1, 21, 20))).toEqual(['a.yaml:8:19 order-wrong settings.ramp[2].from_shot']);
    expect(await summary(stages(1, 1))).toEqual(['a.yaml:7:19 order-wrong settings.ramp[1].from_shot']);
  });
});

describe('a %YAML line', () => {
  test('is good where it says 1.2, and an error with its place where it says another version', async () => {
    expect(await summary('%YAML 1.2\n---\nrecipe: 1\n')).toEqual([]);
    const { findings } = await parse('%YAML 1.1\n---\nrecipe: 1\n');
    expect(findings).toMatchObject([
      {
        code: 'yaml-syntax',
        message: 'the text says YAML 1.1; recipes are YAML 1.2',
        help: 'remove the %YAML line',
        line: 1,
        column: 1,
        end_line: 1,
        end_column: 6,
      },
    ]);
  });
});

describe('the place of a finding in an override', () => {
  test('is the part that is wrong, from its first sign to behind its last', async () => {
    const place = async (text: string) => {
      const { findings } = await parse('recipe: 1\nneedle: {gauge: 22, length: 12.7 mm}\n', [text]);
      return findings.map(d => [d.code, d.line, text.slice(d.column - 1, d.end_column - 1), d.end_line]);
    };
    expect(await place('needle.length=12 kg')).toEqual([['unit-mismatch', 1, '12 kg', 1]]);
    expect(await place('needle length')).toEqual([['override-invalid', 1, 'needle length', 1]]);
    expect(await place('needle..length=1 mm')).toEqual([['override-invalid', 1, 'needle..length', 1]]);
    // A step of its path that the recipe has not, and a list that has no such item.
    expect(await place('needle.lenght=12 mm')).toEqual([['key-unknown', 1, 'lenght', 1]]);
    expect(await place('nedle.length.value=12 mm')).toEqual([['key-unknown', 1, 'nedle', 1]]);
    expect(await place('needle.length[0]=12 mm')).toEqual([['override-invalid', 1, 'needle.length[0]', 1]]);
  });
});

describe('temperatures by the clock', () => {
  const room = (list: string) => `recipe: 1\nprocess: {room: ${list}}\n`;

  test('are times since midnight and temperatures in SI', async () => {
    const { recipe, findings } = await parse(room('[[00:00, 18 degC], [6:30, 20 degC], ["23:59", 293 K]]'));
    expect(findings).toEqual([]);
    expect(recipe?.process?.room?.map(([time, { value }]) => [time, value])).toEqual([
      [0, 291.15],
      [23_400, 293.15], // 6.5 h
      [86_340, 293],
    ]);
  });

  test.each([
    ['[[6:00, 18 degC], [6:00, 20 degC]]', 'order-wrong process.room[1][0]'],
    ['[[7:00, 18 degC], [6:00, 20 degC]]', 'order-wrong process.room[1][0]'],
    ['[[24:00, 18 degC]]', 'value-type process.room[0][0]'],
    ['[["6:60", 18 degC]]', 'value-type process.room[0][0]'],
    ['[[6:00, 18 mm]]', 'unit-mismatch process.room[0][1]'],
    ['[[6:00]]', 'value-type process.room[0]'],
    ['[]', 'value-type process.room'],
    ['18 degC', 'value-type process.room'],
  ])('%s is refused at its place', async (list, found) => {
    const { findings } = await parse(room(list));
    expect(findings.map(({ code, path }) => `${code} ${path}`)).toEqual([found]);
  });
});

describe('keys that do not go together', () => {
  test('lengths of an entrance that is left out', async () => {
    const needle = (ends: string) => `recipe: 1
needle: {gauge: 22, length: 12.7 mm, ends: ${ends}, entrance_lengths: 0.5}
`;
    expect(await summary(needle('both'))).toEqual([]);
    expect(await summary(needle('none'))).toEqual(['a.yaml:2:50 key-conflict needle.entrance_lengths']);
  });

  test('an age of one weighed dot asks for age and reading time of all', async () => {
    const dots = (...more: string[]) => `recipe: 1
resin:
  dot:
    calibration:
${more.map(keys => `      - {mass: 2.4 mg, diameter: 2.1 mm${keys}}\n`).join('')}`;
    const both = ', age: 12 min, read_after: 20 s';
    expect(await summary(dots('', ''))).toEqual([]);
    expect(await summary(dots(both, both))).toEqual([]);
    const missing = async (...more: string[]) => (await parse(dots(...more))).findings.map(f => `${f.code} ${f.path}`);
    expect(await missing(both, '')).toEqual(['key-missing resin.dot.calibration[1].age']);
    expect(await missing(', age: 12 min', both)).toEqual(['key-missing resin.dot.calibration[0].read_after']);
  });
});

describe('the recipe in SI', () => {
  test('the tide-gauge pigtail comes out with the values of its file', async () => {
    const { recipe } = await loadRecipe('tests/fixtures/ok/tide-gauge-pigtail.yaml', nodeFileSystem);
    // Values by hand from the file: 126 um, ± 0.5 um; 100 psi = 100·6894.757293168361 Pa; 25 degC = 298.15 K.
    expect(recipe?.connector?.cavity?.[0]?.front).toMatchObject({
      value: 126e-6,
      tolerance: { halfWidth: 0.5e-6, distribution: 'uniform', per: 'connector' },
      path: 'connector.cavity[0].diameter',
    });
    expect(recipe?.connector?.cavity?.[1]?.front.path).toBe('connector.cavity[1].diameter[0]');
    expect(recipe?.connector?.cavity?.[1]?.rear.value).toBe(0.9e-3);
    expect(recipe?.station?.rating?.value).toBeCloseTo(689475.7293168361, 9);
    expect(recipe?.resin?.reference_temperature.value).toBe(298.15);
    expect(recipe?.resin?.rheology).toMatchObject({
      model: 'newtonian',
      viscosity: { value: 2.4, tolerance: { halfWidth: 0.36, distribution: 'normal', coverage: 2, per: 'lot' } },
    });
    expect(recipe?.process?.temperature).toMatchObject({ value: 296.15, tolerance: { halfWidth: 2, per: 'syringe' } });
    expect(recipe?.station?.syringe).toMatchObject({ barrel: { value: 10e-6 }, fill: { value: 5e-6 } });
    expect(recipe?.settings?.ramp).toMatchObject([{ from_shot: 1, every: 4, add: { value: 0.02 } }]);
  });

  test('the old word for a bore shot by dwell is an error that says the new one', async () => {
    const { findings } = await parse('recipe: 1\nprocess: {bore_shot: timed}\n');
    expect(findings).toMatchObject([{ code: 'value-unknown', line: 2, column: 22, help: 'write by_dwell' }]);
  });

  test('defaults are those of the format, and say that they are', async () => {
    const { recipe } = await parse(
      'recipe: 1\nconnector: {}\nneedle: {gauge: 22}\nresin: {}\nstation: {}\nprocess: {}\n',
    );
    expect(recipe?.connector?.bore_contact_angle).toEqual({
      value: Math.PI / 2,
      path: 'connector.bore_contact_angle',
      source: 'default',
    });
    expect(recipe?.needle).toMatchObject({ wall: 'regular', ends: 'entrance' });
    expect(recipe?.resin).toMatchObject({
      reference_temperature: { value: 298.15 },
      cure: { model: 'none' },
      lot_factor: { value: 1 },
    });
    expect(recipe?.station).toMatchObject({
      atmosphere: { value: 101325 },
      air: { model: 'ideal' },
      ramp: { add_step: { value: 0.01 }, stages: 1 },
    });
    expect(recipe?.process).toMatchObject({
      prime: 3,
      bore_shot: 'by_sight',
      practical_dwell: [{ value: 0.2 }, { value: 4 }],
    });
    expect(recipe?.settings).toBeUndefined();
  });

  test('a half-width such as accuracy says how it is meant', async () => {
    const { recipe } = await loadRecipe('tests/fixtures/ok/every-further-key.yaml', nodeFileSystem);
    expect(recipe?.station?.pressure?.accuracy).toMatchObject({ distribution: 'uniform', coverage: 2, per: 'syringe' });
    expect(recipe?.station?.dwell?.jitter).toMatchObject({
      value: 0.003,
      distribution: 'normal',
      coverage: 3,
      per: 'shot',
    });
    expect(recipe?.station?.dwell?.jitter?.tolerance).toBeUndefined();
    expect(recipe?.connector?.cavity?.[2]?.front.value).toBeCloseTo(1.1e-3, 15);
    expect(recipe?.station?.air).toMatchObject({
      model: 'iso6358',
      vent_to: { value: -5000 },
      exponent: { value: 1.2 },
    });
    // 18 L/(min·bar) = 0.3 dm³/(s·bar) = 3e-9 m³/(s·Pa).
    expect(recipe?.station?.air).toMatchObject({ exhaust_conductance: { value: expect.closeTo(3e-9, 20) } });
    expect(recipe?.process?.temperature).toMatchObject({
      profile: [
        [{ value: 0 }, { value: expect.closeTo(255.15, 9) }],
        [{ value: 1800 }, {}],
      ],
    });
  });
});

describe.each([
  // The quick reader takes the first; a tag is for the full parser.
  ['read quickly', ''],
  ['read by the full parser', 'notes: !!str full\n'],
])('an unknown key without a value, %s', (_, more) => {
  test.each([
    ['bogus:\n', 'a.yaml:2:1 key-unknown bogus'],
    ['needle: {gauge: 22, legnth: }\n', 'a.yaml:2:21 key-unknown needle.legnth'],
    [
      'needle: {gauge: 22, length: {value: 12 mm, tolerence: null}}\n',
      'a.yaml:2:44 key-unknown needle.length.tolerence',
    ],
    [
      'connector: {cavity: [{part:bore, diameter: 126 um, length: 5 mm}]}\n',
      'a.yaml:2:23 key-unknown connector.cavity[0].part:bore',
    ],
    ['station: {air: {model: ideal, rise: null}}\n', 'a.yaml:2:31 key-unknown station.air.rise'],
  ])('%j', async (text, found) => expect(await summary(`recipe: 1\n${text}${more}`)).toEqual([found]));

  test('known keys without a value count as absent', async () => {
    const text = `recipe: 1\nname:\nneedle: {gauge: 22, bore: null, length: {value: 12 mm, tolerance: }}\nsettings:\n${more}`;
    const { recipe, findings } = await parse(text);
    expect(findings).toEqual([]);
    expect(recipe?.needle?.length).toMatchObject({ value: 0.012 });
    expect(Object.keys(recipe!)).toEqual(
      more === ''
        ? ['recipe', 'needle', 'silence', 'correlations']
        : ['recipe', 'notes', 'needle', 'silence', 'correlations'],
    );
  });

  test('null removes what a part gave, and nothing that it did not', async () => {
    const files = memoryFiles({ 'parts/blunt.yaml': 'gauge: 22\nlength: 12.7 mm\nbogus: 1\n' });
    const load = (own: string) =>
      parseRecipe(`recipe: 1\nneedle: {from: parts/blunt.yaml, ${own}}\n${more}`, 'a.yaml', files);
    const sound = await load('bogus: null, length: null');
    expect(sound.findings).toEqual([]);
    expect(sound.recipe?.needle).not.toHaveProperty('length');
    const { findings } = await load('bogus: null, legnth: null');
    expect(findings.map(({ line, column, path }) => [line, column, path])).toEqual([[2, 47, 'needle.legnth']]);
  });
});

describe('parts', () => {
  const part =
    'density: 1.15 g/mL\nrheology: {model: newtonian, viscosity: 2.4 Pa.s}\ndot: {contact_angle: 32 deg, read_after: 20 s}\n';

  test('keys beside from override deeply, null removes, and a part may start from a part', async () => {
    const { recipe } = await loadRecipe('tests/fixtures/ok/chain-of-parts.yaml', nodeFileSystem);
    expect(recipe?.resin).toMatchObject({ density: { value: 1170 }, name: 'Amber 40' });
    expect(recipe?.resin?.rheology).toMatchObject({ viscosity: { value: 4.1 } });
    expect(recipe?.resin?.dot?.read_after).toBeUndefined();
    expect(recipe?.resin?.dot?.contact_angle?.value).toBeCloseTo((32 * Math.PI) / 180, 15);
  });

  test('places are in the file a value came from', async () => {
    const fs = memoryFiles({
      '.git/HEAD': '',
      'r/a.yaml': 'recipe: 1\nresin:\n  from: ../parts/amber.yaml\n  density: 1.2 g/mL\n',
      'parts/amber.yaml': part,
    });
    const loaded = await loadRecipe('r/a.yaml', fs);
    expect(loaded.findings).toEqual([]);
    expect(loaded.files).toEqual(['r/a.yaml', 'parts/amber.yaml']);
    expect(loaded.place('resin.density')).toMatchObject({ file: 'r/a.yaml', line: 4, column: 12 });
    expect(loaded.place('resin.dot.contact_angle')).toMatchObject({ file: 'parts/amber.yaml', line: 3, column: 22 });
    const [d] = placeFindings(loaded, [finding('warning', 'x', 'resin.rheology.viscosity', 'm')]);
    expect(d).toMatchObject({ file: 'parts/amber.yaml', line: 2, column: 41, end_line: 2, end_column: 49, help: null });
  });

  test('nothing outside the root is read, not by way of a link either', async () => {
    const fs = memoryFiles(
      {
        '.git/HEAD': '',
        'a.yaml': 'recipe: 1\nresin: {from: in.yaml}\nneedle: {from: ../out.yaml}\n',
        '/out.yaml': 'gauge: 22\n',
      },
      { '/repo/in.yaml': '/out.yaml' },
    );
    const loaded = await loadRecipe('a.yaml', fs);
    expect(loaded.findings.map(d => d.code)).toEqual(['from-outside-root', 'from-outside-root']);
    expect(fs.read).toEqual(['/repo/a.yaml']);
  });

  test('without a .git the folder of the recipe is the root, and --root widens it', async () => {
    const texts = { 'r/a.yaml': 'recipe: 1\nresin: {from: ../parts/amber.yaml}\n', 'parts/amber.yaml': part };
    const codes = async (root?: string) =>
      (await loadRecipe('r/a.yaml', memoryFiles(texts), root === undefined ? {} : { root })).findings.map(d => d.code);
    expect(await codes()).toEqual(['from-outside-root']);
    expect(await codes('.')).toEqual([]);
  });

  test('one part used twice is one dimension', async () => {
    const fs = memoryFiles({
      'a.yaml': 'recipe: 1\nconnector: {cavity: [{from: tube.yaml}, {from: tube.yaml, length: 1 mm}]}\n',
      'tube.yaml': 'diameter: 1.1 ± 0.05 mm\nlength: 7 mm\n',
    });
    const [first, second] = (await loadRecipe('a.yaml', fs)).recipe?.connector?.cavity ?? [];
    expect(first?.front.source).toBe(second?.front.source);
    expect(first?.length.source).not.toBe(second?.length.source);
    expect(first?.front.path).not.toBe(second?.front.path);
  });

  test('parts that unfold without end are refused in good time', async () => {
    const texts: Record<string, string> = { 'a.yaml': 'recipe: 1\nconnector: {from: p0.yaml}\n' };
    for (let i = 0; i < 12; i++) {
      const one = `{from: p${i + 1}.yaml}`;
      texts[`p${i}.yaml`] = `cavity: [${Array(10).fill(one).join(', ')}]\n`;
    }
    texts['p12.yaml'] = 'part: x\n';
    const { findings } = await loadRecipe('a.yaml', memoryFiles(texts));
    expect(findings.some(d => d.code === 'from-loop')).toBe(true);
  });

  test('a file of the call that is missing is a failure of the call, a missing part a finding', async () => {
    await expect(loadRecipe('none.yaml', NOTHING)).rejects.toBeInstanceOf(FileError);
    await expect(loadRecipe('none.yaml', NOTHING)).rejects.toMatchObject({ code: 'ENOENT', path: 'none.yaml' });
    expect(await summary('recipe: 1\nneedle: {from: none.yaml}\n')).toEqual(['a.yaml:2:16 from-missing needle.from']);
  });
});

describe('aliases and merge keys', () => {
  test('two uses of an anchor are one dimension, two equal texts are two', async () => {
    const { recipe } = await loadRecipe('tests/fixtures/ok/merge-and-alias.yaml', nodeFileSystem);
    const [first, second] = recipe?.connector?.cavity ?? [];
    const fibre = recipe?.connector?.cable?.[0];
    expect(second).toMatchObject({ part: 'second', length: { value: 0.0055 } });
    expect(first?.front.source).toBe(second?.front.source);
    expect(first?.front.source).toBe(fibre?.front.source);
    expect(first?.length.source).not.toBe(first?.front.source);
    expect(first?.length.source).toBe(second?.length.source);
  });

  test('a value that came through a merge key is placed where it stands', async () => {
    const text =
      'recipe: 1\nconnector:\n  cavity:\n    - &t {diameter: 1 kPa, length: 1 mm}\n    - {<<: *t, length: 2 mm}\n';
    expect(await summary(text)).toEqual([
      'a.yaml:4:21 unit-mismatch connector.cavity[0].diameter',
      'a.yaml:4:21 unit-mismatch connector.cavity[1].diameter',
    ]);
  });
});

describe('overrides of the call', () => {
  test('replace, add, remove and extend', async () => {
    const text = 'recipe: 1\nsettings: {pressure: 210 kPa, dwell: 0.5 s, ramp: [{add: 0.02 s, every: 4}]}\n';
    const { recipe, findings } = await parse(text, [
      'settings.pressure=30 psi',
      'settings.dwell=null',
      'settings.ramp[0].every=5',
      'settings.ramp[1]={from_shot: 41, add: 0.03 s, every: 3}',
      'resin.rheology={model: newtonian, viscosity: "= 1.5 * 2 Pa.s"}',
      'station.air.model=ideal',
    ]);
    expect(findings).toEqual([]);
    expect(recipe?.settings).toMatchObject({
      pressure: { value: expect.closeTo(206842.71879505, 6) },
      ramp: [{ every: 5 }, { from_shot: 41 }],
    });
    expect(recipe?.settings?.dwell).toBeUndefined();
    expect(recipe?.resin?.rheology).toMatchObject({ viscosity: { value: 3 } });
  });

  test('what is wrong with them is placed in the call', async () => {
    const set = [
      'settings.pressure=12 mm',
      'settings.dwel=1 s',
      'nonsense',
      'settings.ramp[3].add=1 s',
      'needle={gauge: [}',
    ];
    expect(await summary('recipe: 1\nsettings: {ramp: []}\n', set)).toEqual([
      '--set:1:19 unit-mismatch settings.pressure',
      '--set:2:10 key-unknown settings.dwel',
      '--set:3:1 override-invalid null',
      '--set:4:1 override-invalid null',
      '--set:5:17 override-invalid null',
      'a.yaml:2:18 value-type settings.ramp',
    ]);
  });

  test('may change what came with a part, and the part itself', async () => {
    const fs = memoryFiles({
      'a.yaml': 'recipe: 1\nneedle: {from: short.yaml}\n',
      'short.yaml': 'gauge: 22\nlength: 6 mm\n',
      'long.yaml': 'gauge: 20\nlength: 25 mm\n',
    });
    const loaded = await loadRecipe('a.yaml', fs, { set: ['needle.from=long.yaml', 'needle.length=12 mm'] });
    expect(loaded.recipe?.needle).toMatchObject({ gauge: '20', length: { value: 0.012 } });
    expect(loaded.place('needle.length').file).toBe('--set');
  });
});

describe('the digest', () => {
  const digest = async (text: string, set: string[] = []) => (await parse(text, set)).digest;
  const text = 'recipe: 1\nname: A\nsettings: {pressure: 210 kPa, dwell: 0.5 s}\n';

  test('does not move with layout, names, notes, order and spelling of units', async () => {
    const other = '# moved\nsettings:\n  dwell: 500 ms\n  pressure: 2.1 bar\n  notes: x\nname: B\nrecipe: 1\n';
    expect(await digest(other)).toBe(await digest(text));
    expect(await digest(text)).toMatch(/^[0-9a-f]{64}$/);
  });

  test('moves with every value, tolerance and override', async () => {
    const all = await Promise.all([
      digest(text),
      digest(text, ['settings.dwell=0.51 s']),
      digest(text, ['settings.dwell=0.5 ± 0.01 s']),
      digest(text, ['settings.dwell={value: 0.5 s, tolerance: 0.01 s, per: lot}']),
      digest(text, ['process.prime=4']),
    ]);
    expect(new Set(all).size).toBe(all.length);
  });
});

describe('texts from elsewhere', () => {
  test('all errors come at once, in order, and a place for everything', async () => {
    const found = await summary(
      'recipe: 1\nneedle: {gauge: 22, bore: 1}\nresin: {density: 2 mm, dot: {}, x: 1}\nprocess: {prime: a}\n',
    );
    expect(found).toEqual([
      'a.yaml:2:27 unit-missing needle.bore',
      'a.yaml:3:18 unit-mismatch resin.density',
      'a.yaml:3:33 key-unknown resin.x',
      'a.yaml:4:18 value-type process.prime',
    ]);
  });

  test('a text of thousands of brackets is a finding', async () => {
    expect(await summary('['.repeat(20_000))).toEqual(['a.yaml:1:1 yaml-syntax null']);
    expect(await summary(`recipe: 1\nname: ${'['.repeat(300)}${']'.repeat(300)}\n`)).toContain(
      'a.yaml:2:107 yaml-syntax null',
    );
  });

  test('UTF-16 is named as such', async () => {
    const loaded = await parseRecipe(new Uint8Array([0xff, 0xfe, 0x72, 0]), '-', NOTHING);
    expect(loaded.findings[0]?.message).toMatch(/UTF-16/);
  });

  test('a place for the whole file and for a path that is none', async () => {
    const loaded = await parse('recipe: 1\nname: A\n');
    expect(loaded.place(null)).toEqual({ file: 'a.yaml', line: 1, column: 1, end_line: 1, end_column: 1 });
    expect(loaded.place('needle.bore')).toMatchObject({ line: 1, column: 1 });
    expect(loaded.place('no path ..')).toMatchObject({ line: 1, column: 1 });
  });
});
