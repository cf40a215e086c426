import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { recipeCodes } from '../../../src/diagnostics/codes/recipe-codes.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { loadRecipe } from '../../../src/recipe/format/load.ts';
import { FIXTURES, findingLine, fixtureNames } from '../fixture-files.ts';

const load = (folder: 'ok' | 'err', name: string) => {
  const file = join(FIXTURES, folder, name);
  return loadRecipe(file, nodeFileSystem, { root: join(FIXTURES, folder) });
};

describe('recipes that are as they should be', () => {
  test.each(fixtureNames('ok'))('%s is silent', async name => {
    const loaded = await load('ok', name);
    expect(loaded.findings).toEqual([]);
    expect(loaded.recipe?.recipe).toBe(1);
  });
});

describe('recipes with something wrong', () => {
  test.each(fixtureNames('err'))('%s says what its .out says', async name => {
    const loaded = await load('err', name);
    const expected = readFileSync(join(FIXTURES, 'err', name.replace(/yaml$/, 'out')), 'utf8');
    expect(loaded.findings.map(d => `${findingLine(d, loaded.file)}\n`).join('')).toBe(expected);
    expect(loaded.recipe).toBeNull();
  });

  test('a message that starts with what was written stands where that is written', async () => {
    let seen = 0;
    for (const name of fixtureNames('err')) {
      for (const d of (await load('err', name)).findings) {
        const written = /^(?:unit-|number-|value-range|key-unknown)/.test(d.code)
          ? /^"([^"]+)"/.exec(d.message)?.[1]
          : null;
        if (!written) continue;
        const line = readFileSync(d.file, 'utf8').split('\n')[d.line - 1] ?? '';
        const there = line.slice(d.column - 1).replace(/^"/, '');
        // A unit is named without its number; an expression without its sign.
        expect(there.slice(0, written.length + 12), `${name}: ${d.message}`).toContain(written);
        seen += 1;
      }
    }
    expect(seen).toBeGreaterThan(30);
  });

  test('every code has a fixture that shows it, but for those that no file can cause', async () => {
    const shown = new Set<string>();
    for (const name of fixtureNames('err')) for (const d of (await load('err', name)).findings) shown.add(d.code);
    const codes = Object.keys(recipeCodes).filter(code => code !== 'override-invalid' && code !== 'write-impossible');
    expect([...shown].sort()).toEqual(codes.sort());
  });

  test('every finding has a help or a message that says what is expected', async () => {
    for (const name of fixtureNames('err')) {
      for (const d of (await load('err', name)).findings) {
        expect(d.end_line > d.line || d.end_column >= d.column, `${name}: ${d.message}`).toBe(true);
        expect(d.message.length, name).toBeLessThan(200);
      }
    }
  });
});
