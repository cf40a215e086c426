import { describe, expect, it } from 'vitest';
import { checkFixture, codeOf, expectedLines, fixturesOf, lineOf, runFixture } from './fixture-runs.ts';

const linesOf = (found: Awaited<ReturnType<typeof checkFixture>>, folder: string, name: string) =>
  found.map(d => lineOf(d, folder, name)).join('');

describe('recipes that break a rule', () => {
  it.each(fixturesOf('err/rules'))('%s says what its .out says, its own code among it', async name => {
    const found = await checkFixture('err/rules', name);
    expect(linesOf(found, 'err/rules', name)).toBe(expectedLines('err/rules', name));
    expect(found.map(({ code }) => code)).toContain(codeOf(name));
    for (const { help } of found) expect(help).not.toBeNull();
  });
});

describe('recipes that keep the rules', () => {
  const all = ['ok', 'ok/rules'].flatMap(folder => fixturesOf(folder).map(name => [folder, name] as const));
  it.each(all)('%s/%s is silent', async (folder, name) => {
    expect(linesOf(await checkFixture(folder, name), folder, name)).toBe('');
  });
});

// a run without an end goes on for twenty thousand shots
describe('commands on recipes that they have something to say about', () => {
  it.each(fixturesOf('err/commands'))('%s says what its .out says', async name => {
    const found = await runFixture('err/commands', name);
    expect(linesOf(found, 'err/commands', name)).toBe(expectedLines('err/commands', name));
    expect(found.map(({ code }) => code)).toContain(name);
  });

  it.each(fixturesOf('ok/commands'))('nothing is to be said about the counterpart of %s', async name => {
    expect(linesOf(await runFixture('ok/commands', name), 'ok/commands', name)).toBe('');
  });
});
