import { afterEach, expect, it, vi } from 'vitest';
import { ConvergenceError } from '../../../src/numeric/convergence-error.ts';
import type { AirPulseInput } from '../../../src/physics/air/air.ts';
import { WHOLE } from '../../helpers/part-recipes.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';

// No recipe is known that cannot be computed: one is made by a fault in its air.
const FAULTY = 77e3; // [Pa], the atmosphere of the recipe that meets it

vi.mock('../../../src/physics/air/air.ts', async original => {
  const air = await original<typeof import('../../../src/physics/air/air.ts')>();
  const makeAirPulse = (input: AirPulseInput) => {
    if (input.atmosphere === FAULTY) throw new ConvergenceError('integrate', 2000, 1, 1);
    return air.makeAirPulse(input);
  };
  return { ...air, makeAirPulse };
});

const BAD = WHOLE.replace('  rating:', '  atmosphere: 77 kPa\n  rating:');
const FILES = { 'a.yaml': WHOLE, 'b.yaml': BAD, 'c.yaml': WHOLE, '.git/HEAD': '' };
const LOCK = 'dwellbook.lock.yaml';

let folder: TestFolder;
afterEach(() => folder.remove());

const codes = (document: { diagnostics: { code: string; file: string }[] }) =>
  document.diagnostics.filter(({ code }) => code === 'not-computed').map(({ file }) => file);

it('freezes the others, and keeps what is on record of the one', async () => {
  folder = testFolder(FILES);
  const { status, out } = await folder.run(['freeze', '--json']);
  expect(status).toBe(1);
  const document = JSON.parse(out);
  expect(document.result.frozen.map(({ recipe }: { recipe: string }) => recipe)).toEqual(['a.yaml', 'c.yaml']);
  expect(codes(document)).toEqual(['b.yaml']);
  expect(folder.read(LOCK)).not.toContain('b.yaml');
});

it('compares the others', async () => {
  const thick = (text: string) => text.replace('2.4 Pa.s', '2.5 Pa.s');
  const there = Object.fromEntries(Object.entries(FILES).map(([name, text]) => [`new/${name}`, thick(text)]));
  const here = Object.fromEntries(Object.entries(FILES).map(([name, text]) => [`old/${name}`, text]));
  folder = testFolder({ ...here, ...there });
  const { status, out } = await folder.run(['compare', 'old', 'new', '--json']);
  expect(status).toBe(0);
  const document = JSON.parse(out);
  const states = document.result.recipes.map(({ state }: { state: string }) => state);
  expect(states).toEqual(['changed', 'broken', 'changed']);
  expect(codes(document)).toEqual(['new/b.yaml']);
});

it('checks the others, also against the lock file', async () => {
  folder = testFolder(FILES);
  await folder.run(['freeze']);
  for (const call of [['check'], ['check', '--frozen'], ['shot', '.']]) {
    const { status, out } = await folder.run([...call, '--json']);
    expect([call, status]).toEqual([call, 1]);
    const documents: { recipe: string; diagnostics: { code: string; file: string }[] }[] = JSON.parse(out);
    expect(documents.flatMap(codes)).toEqual(['b.yaml']);
    expect(documents.length).toBe(3);
  }
});

it('leaves the points of a sweep empty that it concerns', async () => {
  folder = testFolder(FILES);
  const grid = ['--grid', 'station.atmosphere=76 kPa,77 kPa,78 kPa', '--take', 'shot.volume_uL'];
  const { status, out } = await folder.run(['sweep', 'a.yaml', ...grid, '--json']);
  expect(status).toBe(0);
  const { points, failed } = JSON.parse(out).result;
  expect(failed).toBe(1);
  expect(points.map(({ results }: { results: unknown[] }) => results[0] === null)).toEqual([false, true, false]);
});

it('is thrown where the recipe stands alone, so that `--trace` shows where', async () => {
  folder = testFolder(FILES);
  for (const call of [['check'], ['shot'], ['freeze'], ['setpoint']]) {
    const { status, err } = await folder.run([...call, 'b.yaml', '--trace']);
    expect([call, status]).toEqual([call, 70]);
    expect(err).toMatch(/^fault: integrate did not converge[\s\S]*at makeAirPulse/);
  }
});
