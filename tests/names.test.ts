import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { COMMANDS } from '../src/cli/command-list.ts';
import { pageText, root } from './helpers/pages.ts';

const files = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' });

/** Commands without an analysis of their name: where what they do is found. */
const ELSEWHERE: Readonly<Record<string, string>> = {
  check: 'rules/rules.ts',
  compare: 'analysis/changes/comparison.ts',
  freeze: 'analysis/changes/frozen.ts',
  sweep: 'analysis/changes/sweep-grid.ts',
  merge: 'cli/shard/read-shards.ts',
  new: 'recipe/format/starter-recipe.ts',
  schema: 'recipe/format/json-schema.ts',
  needles: 'physics/flow/needle-table.ts',
  explain: 'rules/catalogue.ts',
  completion: 'cli/completion/command-words.ts',
};

describe('a newcomer finds the place by the names', () => {
  it.each(COMMANDS.map(({ name }) => name))('%s: its flags, what it computes', name => {
    expect(files).toContain(`cli/commands/${name}.ts`);
    const computed = files.filter(file => file.startsWith('analysis/') && file.endsWith(`/${name}.ts`));
    expect(computed.length === 1 ? 'an analysis' : ELSEWHERE[name]).toBeDefined();
    if (computed.length !== 1) return;
    const shown = files.filter(file => /^report\/(?:text|several)\//.test(file) && file.endsWith(`/render-${name}.ts`));
    expect(shown).toHaveLength(1);
  });

  it('knows where the others are', () => {
    expect(Object.values(ELSEWHERE).filter(file => !existsSync(join(root, 'src', file)))).toEqual([]);
  });

  // The picture of the rooms in DEVELOPERS.md is what a newcomer reads first: one line of it answers each of these.
  it.each([
    ['where is the ramp planned?', /\bramp\b/, 'ramp/'],
    ['where does a rule live?', /\brules?\b/, 'rules/'],
    ['where is a field defined?', /\bfield\b/, 'schema/'],
    ['where does a default come from?', /\bdefaults?\b/, 'schema/'],
    ['where is the needle table?', /needle table/, 'flow/'],
    ['where is the setup card made up?', /hangs at the station/, 'card/'],
    ['where is a syringe released?', /fresh syringe/, 'release/'],
    ['where is a thickness followed?', /from check to check/, 'follow/'],
    ['where does the resin thicken?', /thickening/, 'cure/'],
    ['where is a dot turned into a volume?', /\bdots\b/, 'drop/'],
    ['where is a unit known?', /unit names/, 'units/'],
    ['where is a file written?', /writing whole files/, 'files/'],
  ])('%s', (_, words, place) => {
    const [, rooms = ''] = pageText('DEVELOPERS.md').split('## Rooms');
    const lines = (rooms.split('```')[1] ?? '').split('\n').filter(line => words.test(line));
    expect(lines.map(line => line.trim().split(' ')[0])).toEqual([place]);
  });
});
