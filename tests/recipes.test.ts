import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { ramp } from '../src/analysis/ramp/ramp.ts';
import { nodeFileSystem } from '../src/files/node-file-system.ts';
import { findNeedle } from '../src/physics/flow/needle-table.ts';
import { type LoadedRecipe, loadRecipe } from '../src/recipe/format/load.ts';
import type { Recipe } from '../src/recipe/schema/recipe.ts';
import { checkRecipe } from '../src/rules/index.ts';

const folder = join(import.meta.dirname, '..', 'recipes');
const names = readdirSync(folder)
  .filter(name => name.endsWith('.yaml'))
  .sort();
const loaded = new Map<string, LoadedRecipe>();

beforeAll(async () => {
  for (const name of names) loaded.set(name, await loadRecipe(join(folder, name), nodeFileSystem));
});

function recipeOf(name: string): Recipe {
  const { recipe, findings } = loaded.get(name)!;
  expect(findings).toEqual([]);
  return recipe!;
}

function filesOf(part: string): string[] {
  return readdirSync(join(folder, 'parts', part)).map(file => join('parts', part, file));
}

describe('the demo library', () => {
  it('has eight recipes or more, made of parts that are all used', () => {
    expect(names.length).toBeGreaterThanOrEqual(8);
    const used = new Set([...loaded.values()].flatMap(({ files }) => files.map(file => file.slice(folder.length + 1))));
    const parts = ['connectors', 'needles', 'resins', 'stations'].flatMap(filesOf);
    expect(parts.filter(part => !used.has(part))).toEqual([]);
  });

  it('keeps the demo recipe whole in one file', () => {
    expect(loaded.get('tide-gauge-pigtail.yaml')!.files).toHaveLength(1);
  });

  it.each(names)('%s has nothing to report', name => {
    expect(checkRecipe(recipeOf(name)).findings).toEqual([]);
  });

  it('silences nothing without a reason', () => {
    const silences = names.flatMap(name => recipeOf(name).silence);
    expect(silences.length).toBeGreaterThan(0);
    for (const { reason } of silences) expect(reason).toMatch(/\w{3}/);
  });

  it('shows rheologies, cures, air models and units for people of every kind that its texts promise', () => {
    const all = names.map(recipeOf);
    const kinds = (of: (recipe: Recipe) => string | undefined) => [...new Set(all.map(of))].sort();
    expect(kinds(r => r.resin?.rheology?.model)).toEqual([
      'cross',
      'herschel-bulkley',
      'newtonian',
      'power-law',
      'table',
    ]);
    expect(kinds(r => r.resin?.cure.model)).toEqual(['castro-macosko', 'none', 'pot-life', 'roller', 'table']);
    expect(kinds(r => r.station?.air.model)).toEqual(['first-order', 'ideal', 'iso6358']);
    expect(all.some(r => r.station?.display.pressure === 'psi' && r.station.display.vacuum === 'inHg')).toBe(true);
    expect(kinds(r => r.process?.bore_shot)).toEqual(['by_dwell', 'by_sight']);
  });

  it('rates no air line above 100 psi', () => {
    // common practice, no source: shop air for such work is limited to 100 psi; 1 psi = 0.45359237·9.80665/0.0254² Pa
    const limit = (100 * 0.45359237 * 9.80665) / 0.0254 ** 2;
    for (const name of names) expect(recipeOf(name).station!.rating!.value).toBeLessThanOrEqual(limit * (1 + 1e-12));
  });

  it('fills with an 18-gauge needle where its outside goes in, and with none where it does not', () => {
    // common practice, no source: an 18-gauge needle is usual for filling connectors of this kind
    const outside = findNeedle('18')!.outside.nominal;
    const rearOf = (recipe: Recipe) => recipe.connector!.cavity!.at(-1)!.rear.value;
    const users = names.map(recipeOf).filter(recipe => recipe.needle!.gauge === '18');
    expect(users.length).toBeGreaterThanOrEqual(3);
    for (const recipe of users) expect(outside).toBeLessThan(rearOf(recipe));
    expect(outside).toBeGreaterThan(rearOf(recipeOf('practice-shots.yaml'))); // slim
  });

  it('keeps resins in the range of epoxies: 0.3 to 15 Pa.s, 1.1 to 1.3 g/mL, 38 to 46 mN/m', () => {
    for (const { resin } of names.map(recipeOf)) {
      expect(resin!.density!.value).toBeGreaterThanOrEqual(1100);
      expect(resin!.density!.value).toBeLessThanOrEqual(1300);
      expect(resin!.surface_tension!.value).toBeGreaterThanOrEqual(0.038);
      expect(resin!.surface_tension!.value).toBeLessThanOrEqual(0.046);
    }
  });

  it.each(names)('unchanged: the ramp in the settings of %s is the one that `ramp` computes', name => {
    const recipe = recipeOf(name);
    const { result } = ramp(recipe);
    const computed = result!.program.stages.map(stage => {
      if (!('first_dwell_s' in stage)) throw new Error('a ramp by dwell was expected');
      return { from: stage.from_shot, first: stage.first_dwell_s, add: stage.add_s, every: stage.every };
    });
    const settings = recipe.settings!;
    const written = settings.ramp?.map(stage => ({
      from: stage.from_shot,
      first: stage.first?.value ?? settings.dwell!.value,
      add: stage.add.value,
      every: stage.every,
    }));
    if (written === undefined) {
      // No ramp is written where none is needed: the program then adds nothing.
      expect(computed.map(stage => stage.add)).toEqual([0]);
      expect(computed[0]!.first).toBeCloseTo(settings.dwell!.value, 9);
      return;
    }
    expect(computed).toHaveLength(written.length);
    computed.forEach((stage, i) => {
      expect(stage.from).toBe(written[i]!.from);
      expect(stage.every).toBe(written[i]!.every);
      expect(stage.first).toBeCloseTo(written[i]!.first, 9); // on the station's steps, to binary rounding
      expect(stage.add).toBeCloseTo(written[i]!.add, 9);
    });
  });
});
