import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type LockEntry, lockText, readLock } from '../../../src/recipe/format/lock-file.ts';

const bytes = (text: string) => new TextEncoder().encode(text);
const read = (text: string) => readLock('l.yaml', bytes(text));
const ENTRY: LockEntry = {
  digest: 'ab12',
  models: { flow: 1, air: 2 },
  inputs: new Map([['connector.cavity[0].diameter', '126 ± 0.5 um']]),
  results: new Map<string, string | number | boolean | null>([
    ['shot.volume_uL', 1.882],
    ['x', null],
    ['y', true],
    ['z', 'age'],
  ]),
};

describe('lock file', () => {
  it('reads back what was written', () => {
    const { entries, findings } = read(
      lockText(
        new Map([
          ['b.yaml', ENTRY],
          ['a b.yaml', ENTRY],
        ]),
      ),
    );
    expect(findings).toEqual([]);
    expect([...entries.keys()]).toEqual(['a b.yaml', 'b.yaml']); // sorted
    expect(entries.get('b.yaml')).toEqual(ENTRY);
    expect(read(lockText(new Map())).entries.size).toBe(0);
  });

  it('any text of an input and any name of a file survive, for other readers of YAML too', () => {
    const word = fc.string({ unit: 'grapheme', maxLength: 12 });
    fc.assert(
      fc.property(word, word, (name, value) => {
        const entry = { ...ENTRY, inputs: new Map([['resin.x', value]]) };
        const text = lockText(new Map([[name, entry]]));
        expect(read(text).entries.get(name)?.inputs.get('resin.x')).toBe(value);
        expect(parse(text).recipes[name].inputs['resin.x']).toBe(value);
      }),
      { numRuns: 300, seed: 1 },
    );
  });

  it('knows the place of an entry', () => {
    const text = lockText(
      new Map([
        ['a.yaml', ENTRY],
        ['b.yaml', ENTRY],
      ]),
    );
    const line = text.split('\n').indexOf('  b.yaml:') + 1;
    expect(read(text).place('b.yaml')).toMatchObject({ file: 'l.yaml', line, column: 3 });
  });

  it.each([
    ['', 1],
    ['- 1\n', 1],
    ['lock: 2\nrecipes: {}\n', 1],
    ['lock: 1\n', 1],
    ['lock: 1\nrecipes: [a]\n', 2],
    ['lock: 1\nrecipes:\n  a.yaml: {}\n', 3],
    ['lock: 1\nrecipes:\n  a.yaml:\n    digest: x\n    models: {flow: new}\n    results: {}\n    inputs: {}\n', 5],
    ['lock: 1\nrecipes:\n  a.yaml:\n    digest: x\n    models: {}\n    results: {a: [1]}\n    inputs: {}\n', 6],
    ['lock: 1\nrecipes:\n<<<<<<< ours\n  a.yaml: {}\n=======\n', 3],
  ])('%j: one finding with its line', (text, line) => {
    const { entries, findings } = read(text);
    expect(entries.size).toBe(0);
    expect(findings).toMatchObject([{ code: 'lock-invalid', severity: 'error', file: 'l.yaml', line }]);
  });
});
