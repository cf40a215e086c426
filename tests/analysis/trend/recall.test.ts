import { describe, expect, it } from 'vitest';
import { type LoggedSyringe, recall } from '../../../src/analysis/trend/recall.ts';

let line = 1;
const check = (words: Partial<LoggedSyringe>): LoggedSyringe => ({
  ...{ file: 'checks.csv', line: ++line, time: '2026-03-02T06:40:00Z', recipe: 'pigtail.yaml', digest: '36c2' },
  ...{ syringe: 'S-118', lot: 'L-0412', operator: 'AB', decision: 'use' },
  ...words,
});
const find = (lines: readonly LoggedSyringe[], lot = 'L-0412') => recall({ lot, syringe: null, lines, complete: true });

describe('a recall', () => {
  it('lists the syringes of a lot with first and last check in order of time, whatever the order of the lines', () => {
    const found = find([
      check({ time: '2026-03-04T09:00:00+01:00', syringe: 'S-120' }),
      check({ time: '2026-03-02T10:00:00Z' }),
      check({ time: '2026-03-02T06:40:00Z' }),
      check({ lot: 'L-0413', syringe: 'S-130' }),
    ]);
    expect(found.syringes.map(({ syringe, first, last }) => [syringe, first, last])).toEqual([
      ['S-118', '2026-03-02T06:40:00Z', '2026-03-02T10:00:00Z'],
      ['S-120', '2026-03-04T09:00:00+01:00', '2026-03-04T09:00:00+01:00'],
    ]);
    expect(found.recipes).toEqual([
      { recipe: 'pigtail.yaml', syringes: 2, first: '2026-03-02T06:40:00Z', last: '2026-03-04T09:00:00+01:00' },
    ]);
  });

  it('compares times across offsets, as instants', () => {
    const found = find([
      check({ time: '2026-03-02T08:00:00+02:00', syringe: 'early' }), // 06:00 UTC
      check({ time: '2026-03-02T07:00:00Z', syringe: 'late' }),
    ]);
    expect(found.checks.map(({ syringe }) => syringe)).toEqual(['early', 'late']);
  });

  it('counts a syringe as used unless every check rejected it', () => {
    const used = (...decisions: string[]) => find(decisions.map(decision => check({ decision }))).syringes[0]!.used;
    expect(used('reject')).toBe(false);
    expect(used('reject', 'use with trim')).toBe(true);
    expect(used('reject', '')).toBe(true); // what cannot be read as a rejection may have been used
  });

  it('takes every check of a named syringe, whatever lot it names', () => {
    const found = find([check({}), check({ lot: '' }), check({ lot: 'L-0413' }), check({ lot: '', syringe: 'S-900' })]);
    expect(found.checks.map(({ match }) => match)).toEqual(['named', 'same syringe', 'same syringe', 'not written']);
    expect(found.syringes[0]!.decisions).toHaveLength(3);
  });

  it('does not take the same name under another recipe for the same syringe', () => {
    const found = find([check({}), check({ recipe: 'tail.yaml', lot: 'L-0500' })]);
    expect(found.checks).toHaveLength(1);
  });

  it.each(['l-0412', 'L0412', 'L 412', 'L-O412', ' L_0412', '1-0412'])('lists "%s" as one to look at by hand', lot => {
    const found = find([check({ lot })]);
    expect(found.syringes).toEqual([]);
    expect(found.checks.map(({ match }) => match)).toEqual(['alike']);
  });

  it.each(['L-0413', 'L-4120', 'M-0412', 'L-04120', '0412'])('leaves "%s" out: another lot', lot => {
    expect(find([check({ lot })]).checks).toEqual([]);
  });

  it('keeps checks without a name of the syringe apart', () => {
    expect(find([check({ syringe: '' }), check({ syringe: '' })]).syringes).toHaveLength(2);
  });

  it('puts times that cannot be read last, and loses none', () => {
    const found = find([check({ time: 'yesterday', syringe: 'S-1' }), check({ syringe: 'S-2' })]);
    expect(found.checks.map(({ syringe }) => syringe)).toEqual(['S-2', 'S-1']);
  });
});
