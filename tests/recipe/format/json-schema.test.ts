import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { recipeJsonSchema } from '../../../src/recipe/format/json-schema.ts';
import { FIXTURES, fixtureNames } from '../fixture-files.ts';

const validate = new Ajv({ strict: true, strictTypes: false }).compile(recipeJsonSchema());
const accepts = (text: string) => validate(parse(text, { merge: true }));

describe('the JSON Schema of the format', () => {
  test('is draft-07, and the same every time', () => {
    expect(recipeJsonSchema()['$schema']).toBe('http://json-schema.org/draft-07/schema#');
    expect(JSON.stringify(recipeJsonSchema())).toBe(JSON.stringify(recipeJsonSchema()));
  });

  test.each(fixtureNames('ok'))('accepts %s', name => {
    expect(accepts(readFileSync(join(FIXTURES, 'ok', name), 'utf8')), JSON.stringify(validate.errors)).toBe(true);
  });

  test.each([
    'key-unknown',
    'key-missing',
    'value-type',
    'value-unknown',
    'version-unsupported',
    'unit-missing',
    'number-invalid',
  ])('rejects %s.yaml', name => {
    expect(accepts(readFileSync(join(FIXTURES, 'err', `${name}.yaml`), 'utf8'))).toBe(false);
  });

  test.each([
    'recipe: 1\nsettings: {pressure: 210}',
    'recipe: 1\nsettings: {pressure: "210"}',
    'recipe: 1\nsettings: {presure: 210 kPa}',
    'recipe: 1\nsettings: {pressure: {value: 210}}',
    'recipe: 1\nsettings: {pressure: {value: 210 kPa, tolerance: 3}}',
    'recipe: 1\nsettings: {ramp: {add: 0.02 s}}',
    'recipe: 1\nconnector: {allowance: 3}',
    'recipe: 1\nresin: {rheology: {viscosity: 2.4 Pa.s}}',
    'recipe: 1\nresin: {rheology: {model: newtonian, viscosity: 2.4 Pa.s, n: 1}}',
    'recipe: 1\nprocess: {prime: 1.5}',
    'recipe: 1\nprocess: {temperature: {profile: [[0 min, 20]]}}',
    'settings: {pressure: 210 kPa}',
    'recipe: null',
  ])('rejects %j', text => expect(accepts(text)).toBe(false));

  test.each([
    'recipe: 1\nresin: {from: a.yaml, rheology: {viscosity: 2.4 Pa.s}}',
    'recipe: 1\nconnector: {from: a.yaml, cavity: null, reach: {max: 12 mm}}',
    'from: a.yaml',
    'recipe: 1\nsettings: null',
    'recipe: 1\nresin: {lot_factor: 1.02, cure: {model: pot-life, time: 60 min, factor: 2}}',
    'recipe: 1\nneedle: {gauge: 22s, length: "= 2 * 6 mm"}',
  ])('accepts %j', text => expect(accepts(text), JSON.stringify(validate.errors)).toBe(true));

  test('a key misspelt in a block that starts from a part is still seen', () => {
    expect(accepts('recipe: 1\nresin: {from: a.yaml, rheology: {visosity: 2.4 Pa.s}}')).toBe(false);
  });

  test('describes every key', () => {
    let keys = 0;
    const walk = (node: unknown, at: string): void => {
      if (typeof node !== 'object' || node === null) return;
      const properties = (node as { properties?: Record<string, { description?: string; not?: unknown }> }).properties;
      for (const [key, value] of Object.entries(properties ?? {})) {
        if (at.includes('/definitions/') || at.includes('/if') || at.includes('/allOf')) break;
        expect(value.description, `${at}/${key}`).toBeTruthy();
        keys += 1;
      }
      for (const [key, value] of Object.entries(node)) walk(value, `${at}/${key}`);
    };
    walk(recipeJsonSchema(), '');
    expect(keys).toBeGreaterThan(100);
  });

  test('states defaults, each of which it accepts itself', () => {
    const { definitions } = recipeJsonSchema() as { definitions: Record<string, unknown> };
    const defaults: string[] = [];
    const walk = (node: unknown, key: string): void => {
      if (typeof node !== 'object' || node === null) return;
      if ('default' in node) {
        const accept = new Ajv({ strict: false }).compile({ ...node, definitions });
        expect(accept(node.default), `${key}: ${JSON.stringify(node.default)}`).toBe(true);
        defaults.push(`${key}: ${JSON.stringify(node.default)}`);
      }
      for (const [inner, value] of Object.entries(node)) walk(value, inner);
    };
    walk(definitions['partial'], '');
    expect(defaults).toEqual(
      expect.arrayContaining(['protrusion: "0 mm"', 'wall: "regular"', 'prime: 3', 'practical_dwell: ["0.2 s","4 s"]']),
    );
  });
});
