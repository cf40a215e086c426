import { describe, expect, it } from 'vitest';
import { jsonText, resultDocument } from '../../../src/report/words/document.ts';

describe('JSON documents', () => {
  it('have the keys in the order in which the format lists them', () => {
    const document = resultDocument({ diagnostics: [], result: 1, name: 'n', recipe: 'r', command: 'c' });
    expect(Object.keys(document)).toEqual(['format', 'command', 'recipe', 'name', 'result', 'diagnostics']);
  });

  it('keep full precision', () => {
    expect(JSON.parse(jsonText({ x: 0.1 + 0.2 }))).toEqual({ x: 0.1 + 0.2 });
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY])('refuse %s, which would come out as null', value => {
    expect(() => jsonText({ flow_uL_per_s: value })).toThrow('flow_uL_per_s');
  });
});
