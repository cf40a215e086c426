import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { writeValues } from '../../../src/recipe/yaml/write-values.ts';

const TEXT = `# Tide gauge
recipe: 1   # version
name: 'north pier'
settings:   # released
  pressure: 210 kPa   # gauge
  dwell: "0.53 s"
  ramp: {add: 0.02 s, every: 4}  # as trialled

# what follows is the resin
resin:
  density: 1.1 g/mL
`;

describe('writing values', () => {
  test('changes the values and nothing else', () => {
    const { text, findings } = writeValues(TEXT, [
      { path: 'settings.pressure', value: '211 kPa' },
      { path: 'settings.dwell', value: '0.6 s' },
      { path: 'settings.ramp.add', value: '0.03 s' },
      { path: 'name', value: "south pier's" },
    ]);
    expect(findings).toEqual([]);
    expect(text).toBe(
      TEXT.replace('210 kPa', '211 kPa')
        .replace('"0.53 s"', '"0.6 s"')
        .replace('0.02 s', '0.03 s')
        .replace("'north pier'", "'south pier''s'"),
    );
  });

  test('adds keys and blocks at their ends', () => {
    const { text } = writeValues(TEXT, [
      { path: 'settings.ramp.first', value: '0.5 s' },
      { path: 'settings.notes', value: 'a: b' },
      { path: 'resin.lot_factor', value: '1.02 ± 3 %' },
      { path: 'calibration', value: { viscosity_factor: 1.05, digest: '12e45' } },
    ]);
    const expected = TEXT.replace(
      'every: 4}  # as trialled\n',
      'every: 4, first: 0.5 s}  # as trialled\n  notes: "a: b"\n',
    );
    expect(text).toBe(
      `${expected}  lot_factor: 1.02 ± 3 %\ncalibration:\n  viscosity_factor: 1.05\n  digest: "12e45"\n`,
    );
  });

  test('keeps CRLF, a byte-order mark and a missing line break at the end', () => {
    const before = '\ufeffrecipe: 1\r\nsettings:\r\n  from: a.yaml # part\r\nname: x';
    const { text } = writeValues(before, [
      { path: 'settings.pressure', value: '211 kPa' },
      { path: 'notes', value: 'y' },
    ]);
    expect(text).toBe(
      '\ufeffrecipe: 1\r\nsettings:\r\n  from: a.yaml # part\r\n  pressure: 211 kPa\r\nname: x\r\nnotes: y',
    );
  });

  test('overrides here what comes by from or by a merge key', () => {
    const text = 'a: &a {b: 1}\nsettings: {from: x.yaml}\nd:\n  <<: *a\n';
    const written = writeValues(text, [
      { path: 'settings.dwell', value: '1 s' },
      { path: 'd.b', value: 3 },
    ]);
    expect(written.text).toBe('a: &a {b: 1}\nsettings: {from: x.yaml, dwell: 1 s}\nd:\n  <<: *a\n  b: 3\n');
  });

  test('an empty block is filled, a block list replaced as a whole', () => {
    expect(writeValues('settings: # none yet\n', [{ path: 'settings.dwell', value: '1 s' }]).text).toBe(
      'settings: {dwell: 1 s} # none yet\n',
    );
    const list = 'settings:\n  ramp:\n    - add: 1 s\n      every: 2\n  dwell: 1 s\n';
    expect(writeValues(list, [{ path: 'settings.ramp', value: [{ add: '2 s', every: 3 }] }]).text).toBe(
      'settings:\n  ramp: [{add: 2 s, every: 3}]\n  dwell: 1 s\n',
    );
    expect(writeValues(list, [{ path: 'settings.ramp[0].every', value: 5 }]).text).toBe(
      list.replace('every: 2', 'every: 5'),
    );
  });

  test.each([
    ['c: *a\n', 'c.b', 'alias'],
    ['c: {b: 1}\n', 'c[0]', 'no list'],
    ['c: [1]\n', 'c[3]', 'no item'],
    ['c: 5\n', 'c.d', 'no mapping'],
    ['c: {}\n', 'c.d[0]', 'not in this file'],
    ['c:\n  # why\n  - 1\n', 'c', 'comments'],
    ['c: [\n', 'c', 'not sound'],
  ])('%j has no room for %s', (rest, path, why) => {
    const text = `a: &a {b: 1}\n${rest}`;
    const written = writeValues(text, [{ path, value: 1 }]);
    expect(written.text).toBe(text);
    expect(written.findings).toMatchObject([{ code: 'write-impossible', message: expect.stringContaining(why) }]);
  });

  test('what was written reads back, and the rest is as it was', () => {
    const value = fc.oneof(
      fc.string({ unit: 'grapheme', maxLength: 12 }),
      fc.integer(),
      fc.boolean(),
      fc.constantFrom('210 kPa', '= 2 * 1 mm', '1 ± 5 %', '-', '~', 'null', '1e5', '0x1F', ' x', '# y'),
    );
    const path = fc.constantFrom(
      'name',
      'settings.pressure',
      'settings.dwell',
      'settings.new',
      'resin.density',
      'resin.x',
      'calibration.a.b',
    );
    fc.assert(
      fc.property(value, path, (v, p) => {
        const { text, findings } = writeValues(TEXT, [{ path: p, value: v }]);
        expect(findings).toEqual([]);
        const steps = p.split('.');
        expect(steps.reduce((at, step) => at[step], parse(text))).toBe(v);
        for (const comment of [
          '# Tide gauge',
          '# version',
          '# released',
          '# gauge',
          '# as trialled',
          '# what follows',
        ]) {
          expect(text).toContain(comment);
        }
      }),
      { seed: 3, numRuns: 500 },
    );
  });
});
