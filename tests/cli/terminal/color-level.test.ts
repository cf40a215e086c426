import { describe, expect, it } from 'vitest';
import { type ColorChoice, colorLevel } from '../../../src/cli/terminal/color-level.ts';

describe('colour', () => {
  it.each<[ColorChoice, Record<string, string>, boolean, number, string]>([
    ['auto', {}, true, 1, 'a terminal has colours'],
    ['auto', {}, false, 0, 'a pipe has none'],
    ['auto', { TERM: 'dumb' }, true, 0, 'a dumb terminal has none'],
    ['auto', { NO_COLOR: '1' }, true, 0, 'NO_COLOR takes them away'],
    ['auto', { NO_COLOR: '' }, true, 1, 'an empty NO_COLOR does not count (no-color.org)'],
    ['auto', { FORCE_COLOR: '1' }, false, 1, 'FORCE_COLOR gives them to a CI log'],
    ['auto', { FORCE_COLOR: '' }, false, 1, 'an empty FORCE_COLOR asks for them'],
    ['auto', { FORCE_COLOR: '3' }, false, 3, 'FORCE_COLOR says how many'],
    ['auto', { FORCE_COLOR: '0' }, true, 0, 'FORCE_COLOR=0 takes them away'],
    ['auto', { FORCE_COLOR: '1', NO_COLOR: '1' }, false, 1, 'FORCE_COLOR goes before NO_COLOR'],
    ['never', { FORCE_COLOR: '1' }, true, 0, 'the flag goes before both'],
    ['always', { NO_COLOR: '1' }, false, 1, 'the flag goes before both'],
    ['always', { FORCE_COLOR: '0' }, false, 1, 'the flag goes before both'],
  ])('--color %s with %j, terminal %s: %i, since %s', (choice, env, isTTY, level) => {
    expect(colorLevel(choice, env, isTTY)).toBe(level);
  });
});
