import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME, build, root } from './cli/built-program.ts';

let text = '';
let exported: Record<string, unknown> = {};

beforeAll(async () => {
  build();
  text = readFileSync(join(root, 'dist', 'API.md'), 'utf8');
  exported = await import(pathToFileURL(join(root, 'dist', 'index.js')).href);
}, BUILD_TIME);

/** The part of one export: from its heading to the next. */
function partOf(name: string): string {
  return text.split(/^(?=### )/m).find(part => part.startsWith(`### ${name}\n`)) ?? '';
}

describe('the API reference of the package', () => {
  it('has every value that the library exports, and no other', () => {
    const values = text.slice(0, text.indexOf('## Types'));
    const headings = [...values.matchAll(/^### (\w+)$/gm)].map(([, name]) => name);
    expect(headings.sort()).toEqual(Object.keys(exported).sort());
  });

  it('gives every function its signature and a sentence', () => {
    const functions = Object.keys(exported).filter(
      name => typeof exported[name] === 'function' && !/^class /.test(String(exported[name])),
    );
    expect(functions.length).toBeGreaterThan(10);
    const bare = functions.filter(name => {
      const [, signature = '', sentence = ''] = /```ts\n([\s\S]*?)```\n\n(.*)\n/.exec(partOf(name)) ?? [];
      return !signature.startsWith(`function ${name}(`) || !/^\S.*[.:;]/.test(sentence);
    });
    expect(bare).toEqual([]);
  });

  it('shows options and results with their keys', () => {
    expect(partOf('ShotOptions')).toMatch(/readonly pressure\?: number/);
    expect(partOf('CavityResult')).toContain('readonly backfill_aim_uL: number');
  });

  it('leads nowhere outside the package', () => {
    expect(text).not.toMatch(/\/(?:src|home|work|tmp)\//);
  });
});
