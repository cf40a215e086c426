import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME, build, root, run } from '../built-program.ts';

const folder = mkdtempSync(join(tmpdir(), 'dwellbook-family-'));

beforeAll(build, BUILD_TIME);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function example() {
  const script = join(root, 'examples/recipe-family.mjs');
  const { status, stdout, stderr } = spawnSync(process.execPath, [script, folder], { cwd: root, encoding: 'utf8' });
  return { status, stdout, stderr };
}

describe('examples/recipe-family.mjs', () => {
  it('makes a sound recipe of every connector with every resin, and freezes them', () => {
    expect(example()).toEqual({ status: 0, stderr: '', stdout: `${join(folder, 'dwellbook.lock.yaml')}: 4 recipes\n` });
    const { status, stdout } = run(['check', '--frozen', '--max-warnings', '0'], { cwd: folder });
    expect({ status, stdout: stdout.split(':')[0] }).toEqual({ status: 0, stdout: '4 recipes checked' });
  });

  it('changes nothing when it runs again', () => {
    const before = readFileSync(join(folder, 'dwellbook.lock.yaml'), 'utf8');
    expect(example().status).toBe(0);
    expect(readFileSync(join(folder, 'dwellbook.lock.yaml'), 'utf8')).toBe(before);
  });

  it('says which recipes a change of a part has moved, and by which value', () => {
    const part = join(folder, 'parts/amber-55.yaml');
    writeFileSync(part, readFileSync(part, 'utf8').replace('4.1 Pa.s', '4.6 Pa.s'));
    const { status, stderr } = example();
    expect(status).toBe(1);
    const moved = stderr.split('\n').filter(line => line.endsWith('[frozen-moved]'));
    expect(moved).toHaveLength(2); // two connectors with that resin
    for (const line of moved) expect(line).toContain('resin.rheology.viscosity 4.1 → 4.6 Pa.s ± 15 % changed');
  });
});
