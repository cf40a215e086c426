import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CALLS, wrongEnd } from './drawn-calls.ts';
import { type WatchedProgram, watchedProgram } from './watched-run.ts';

// Many recipes drawn at random, each with two calls; the share of `npm test` is in `drawn-recipes.test.ts`.

const RECIPES = 520;
const BLOCK = 40;

let program: WatchedProgram;
beforeAll(async () => {
  program = await watchedProgram();
});
afterAll(() => program.close());

describe('recipes drawn at random end with a result or a finding', () => {
  it.each(Array.from({ length: RECIPES / BLOCK }, (_, i) => i * BLOCK))(
    'from %d on',
    async first => {
      const wrong: string[] = [];
      for (let seed = first; seed < first + BLOCK; seed++) {
        // Neighbours have other calls, and a model meets other calls as the numbers go on.
        for (const turn of [0, 1]) {
          const call = CALLS[(2 * seed + turn + Math.floor(seed / 7)) % CALLS.length]!;
          wrong.push((await wrongEnd(program, seed, call)) ?? '');
        }
      }
      expect(wrong.filter(text => text !== '')).toEqual([]);
    },
    1_800_000,
  );
});
