import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { loadEngine } from '../../../src/units/engine.ts';
import { FIXTURES, fixtureNames } from '../fixture-files.ts';
import { memoryFiles } from '../memory-files.ts';

const TEXTS = fixtureNames('ok').map(name => readFileSync(join(FIXTURES, 'ok', name), 'utf8'));
const PIECES = [
  '\t',
  '{',
  '}',
  '[',
  ']',
  ': ',
  '- ',
  '&a ',
  '*a',
  '<<: ',
  '!!set',
  '---\n',
  '\u0000',
  '"',
  "'",
  '|',
  '>',
  '%',
  '# ',
  '\r\n',
  '1e999',
  '± ',
  'from: .\n',
  '=',
  'null',
  '__proto__: ',
];

async function holds(text: string | Uint8Array, set: string[] = []): Promise<void> {
  const loaded = await parseRecipe(text, 'x.yaml', memoryFiles({}), { set });
  expect(loaded.recipe === null).toBe(loaded.findings.length > 0);
  const lines = (typeof text === 'string' ? text : new TextDecoder().decode(text)).split('\n').length;
  for (const d of loaded.findings) {
    expect(d.line).toBeGreaterThanOrEqual(1);
    expect(d.column).toBeGreaterThanOrEqual(1);
    if (d.file === 'x.yaml') expect(d.line).toBeLessThanOrEqual(lines);
    expect(d.code).not.toBe('engine-needed');
  }
  expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
}

test('no text makes the loader throw', async () => {
  await loadEngine();
  const text = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 80 }),
    fc.array(fc.constantFrom(...PIECES, 'a', '\n  ', 'recipe: 1\n'), { maxLength: 20 }).map(p => p.join('')),
  );
  await fc.assert(
    fc.asyncProperty(text, t => holds(t)),
    { seed: 11, numRuns: 500 },
  );
});

test('no bytes make the loader throw', async () => {
  await fc.assert(
    fc.asyncProperty(fc.uint8Array({ maxLength: 60 }), bytes => holds(bytes)),
    { seed: 12, numRuns: 300 },
  );
});

test('no damage to a sound recipe makes the loader throw', async () => {
  const cut = fc.tuple(fc.constantFrom(...TEXTS), fc.nat(), fc.nat({ max: 12 }), fc.constantFrom('', ...PIECES));
  await fc.assert(
    fc.asyncProperty(cut, ([text, at, length, piece]) => {
      const from = at % text.length;
      return holds(text.slice(0, from) + piece + text.slice(from + length));
    }),
    { seed: 13, numRuns: 500 },
  );
});

test('no override makes the loader throw', async () => {
  const override = fc.tuple(
    fc.constantFrom(
      'settings.pressure',
      'needle',
      'connector.cavity[0]',
      'connector.cavity[9].x',
      '__proto__.polluted',
      'a..b',
      '',
    ),
    fc.oneof(fc.string({ maxLength: 20 }), fc.constantFrom(...PIECES, '{a: 1}', '[1 mm, 2 mm]', '= 2 mm')),
  );
  await fc.assert(
    fc.asyncProperty(override, ([path, value]) => holds(TEXTS[0] ?? '', [`${path}=${value}`])),
    { seed: 14, numRuns: 300 },
  );
});
