import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { CATALOGUE, CODE_TABLES } from '../../src/rules/catalogue.ts';
import { FIXTURES, fixturesOf } from './fixture-runs.ts';

const codes = Object.keys(CATALOGUE).sort();
const checked = codes.filter(code => CATALOGUE[code]!.checked);
const root = join(import.meta.dirname, '..', '..');

describe('the catalogue of codes', () => {
  it('has each code in one table', () => {
    const all = Object.values(CODE_TABLES).flatMap(table => Object.keys(table));
    expect(all.filter((code, i) => all.indexOf(code) !== i)).toEqual([]);
    expect(all.sort()).toEqual(codes);
  });

  it.each(codes)('%s has a name, a title, a reason and a remedy', code => {
    const { severity, title, why, remedy } = CATALOGUE[code]!;
    expect(code).toMatch(/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/);
    expect(['error', 'warning']).toContain(severity);
    expect(title.length).toBeLessThanOrEqual(80);
    expect(title).not.toMatch(/\.$/);
    for (const text of [why, remedy]) expect(text).toMatch(/^[^\s].{8,}\.$/s);
  });

  it('has a record of every code that src/ finds', () => {
    const files = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' }).filter(f => f.endsWith('.ts'));
    const found = files.flatMap(file => {
      const text = readFileSync(join(root, 'src', file), 'utf8');
      const calls = /(?:finding\('(?:error|warning)',|\b\w*Finding\(|\bcoded\(|code:)\s*'([a-z]+(?:-[a-z0-9]+)+)'/g;
      return [...text.matchAll(calls)].map(match => match[1] ?? '');
    });
    expect(found.length).toBeGreaterThan(60);
    expect([...new Set(found)].filter(code => !(code in CATALOGUE)).sort()).toEqual([]);
  });
});

describe('every code that check can find', () => {
  const broken = [...fixturesOf('err'), ...fixturesOf('err/rules')];
  const outputs = [
    ...fixturesOf('err').map(n => `err/${n}`),
    ...fixturesOf('err/rules').map(n => `err/rules/${n}`),
  ].map(name => readFileSync(join(FIXTURES, `${name}.out`), 'utf8'));

  it.each(checked)('%s is shown by a broken recipe', code => {
    expect(outputs.some(text => text.includes(`[${code}]\n`))).toBe(true);
  });

  it('has a fixture of its name where a rule or an analysis finds it, and a counterpart that keeps it', () => {
    const named = checked.filter(code => CATALOGUE[code]!.silenceable || code.startsWith('silence-'));
    expect(named.filter(code => !broken.includes(code))).toEqual([]);
    expect(fixturesOf('ok/rules')).toEqual(fixturesOf('err/rules'));
    expect(fixturesOf('ok/commands')).toEqual(fixturesOf('err/commands'));
  });
});

describe('every code that a command finds', () => {
  const tests = readdirSync(join(root, 'tests'), { recursive: true, encoding: 'utf8' }).filter(f =>
    /\.test\.ts$|\.out$/.test(f),
  );
  const text = tests.map(file => readFileSync(join(root, 'tests', file), 'utf8')).join('\n');

  it.each(codes.filter(code => !CATALOGUE[code]!.checked))('%s is looked for by a test', code => {
    expect(new RegExp(`\\b${code}\\b`).test(text)).toBe(true);
  });
});

describe('the table in src/rules/README.md', () => {
  it('has a row for every code, in order, with its severity and title', () => {
    const page = readFileSync(join(root, 'src/rules/README.md'), 'utf8');
    const rows = [...page.matchAll(/^\| `([a-z0-9-]+)` \| (error|warning) \| (.+) \|$/gm)].map(m => m.slice(1, 4));
    const expected = codes.map(code => [code, CATALOGUE[code]!.severity, CATALOGUE[code]!.title]);
    expect(rows).toEqual(expected);
  });
});
