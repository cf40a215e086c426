import { afterAll, beforeAll, expect, it } from 'vitest';
import { CALLS, MODELS, wrongEnd } from './drawn-calls.ts';
import { type WatchedProgram, watchedProgram } from './watched-run.ts';

// Every second call of the commands that are about a recipe, each on another set of models.

let program: WatchedProgram;
beforeAll(async () => {
  program = await watchedProgram();
});
afterAll(() => program.close());

it('a recipe drawn at random ends with a result or a finding', async () => {
  const wrong: string[] = [];
  for (let i = 0; i < CALLS.length; i += 2) {
    const seed = (i * 7) % MODELS.length; // 7 shares no factor with the number of models: every model comes soon
    wrong.push((await wrongEnd(program, seed, CALLS[i]!)) ?? '');
  }
  expect(wrong.filter(text => text !== '')).toEqual([]);
});

it('so does one whose bore fills in no time: a power of a difference of pressures that is rounding', async () => {
  expect(await wrongEnd(program, 88, 'setpoint a.yaml')).toBeNull();
});
