import { describe, expect, it } from 'vitest';
import { CONSEQUENCES, withoutConsequences } from '../../src/diagnostics/consequences.ts';
import { type Finding, finding } from '../../src/diagnostics/finding.ts';
import { CATALOGUE } from '../../src/rules/catalogue.ts';
import { checkRecipe, runRules } from '../../src/rules/index.ts';
import { exampleRecipe } from '../helpers/recipe-builder.ts';

const codes = Object.keys(CATALOGUE);
const of = (code: string): Finding => finding(CATALOGUE[code]!.severity, code, null, 'found');
const codesOf = (findings: readonly Finding[]) => findings.map(({ code }) => code);

describe('what follows from an error', () => {
  it('is not said beside it, over all pairs of codes, in either order; everything else is', () => {
    for (const one of codes) {
      for (const other of codes) {
        if (one === other) continue;
        const follows = CONSEQUENCES[one]?.includes(other) === true;
        const leads = CONSEQUENCES[other]?.includes(one) === true;
        const expected = [one, other].filter(code => !((code === other && follows) || (code === one && leads)));
        expect(codesOf(withoutConsequences([of(one), of(other)]))).toEqual(expected);
      }
    }
  });

  it('is said where it stands alone', () => {
    for (const code of codes) expect(codesOf(withoutConsequences([of(code)]))).toEqual([code]);
  });

  it('has a cause that is an error, on record as the consequences are', () => {
    for (const [cause, consequences] of Object.entries(CONSEQUENCES)) {
      expect(CATALOGUE[cause]?.severity, cause).toBe('error');
      for (const code of consequences) expect(codes, code).toContain(code);
    }
  });

  it('never explains its own cause, by however many steps: something is always said', () => {
    const reached = (code: string): string[] =>
      (CONSEQUENCES[code] ?? []).flatMap(next => [next, ...(next === code ? [] : reached(next))]);
    for (const cause of Object.keys(CONSEQUENCES)) expect(reached(cause)).not.toContain(cause);
    expect(withoutConsequences(codes.map(of)).length).toBeGreaterThan(0);
  });

  it('keeps what a warning of the same code says beside it', () => {
    const warned = finding('warning', 'cable-interference', null, 'as a warning');
    expect(withoutConsequences([warned, of('shot-outside-window')])).toHaveLength(2);
  });
});

describe('a connector whose cable does not fit', () => {
  // a buffer of 1.8 mm in a tube of 1.7 mm: what is free behind it is less than nothing
  const wide = {
    'connector.cable': [
      { front: 125e-6, rear: 125e-6, length: 6.6e-3 },
      { front: 1.8e-3, rear: 1.8e-3, length: 20e-3 },
    ],
  };

  it('has no window of negative width, and nothing that is judged by it', () => {
    const recipe = exampleRecipe(wide);
    expect(codesOf(runRules(recipe)).length).toBeGreaterThan(1);
    // the pot life of the example has no activation energy, which is not the cable's doing
    expect([...new Set(codesOf(checkRecipe(recipe).findings))].sort()).toEqual([
      'cable-interference',
      'cure-temperature',
    ]);
  });

  it('is judged by the volume all the same where its recipe silences the interference', () => {
    const silence = [{ code: 'cable-interference', reason: 'the jacket is soft', path: 'silence[0]' }];
    const said = codesOf(checkRecipe({ ...exampleRecipe(wide), silence }).findings);
    expect(said.length).toBeGreaterThan(0);
    expect(said).not.toContain('cable-interference');
  });
});
