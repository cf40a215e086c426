import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { styleOf } from '../../../src/report/words/style.ts';
import { pairsText, tableText } from '../../../src/report/words/table.ts';

const view = { style: styleOf(0), columns: 40 };

describe('tables', () => {
  it('aligns numbers right and words left, with one rule under the heads', () => {
    const text = tableText(
      [{ head: 'part' }, { head: 'uL', align: 'right' }],
      [
        ['bore', '0.07'],
        ['tube', '12.5'],
      ],
      view,
    );
    expect(text.split('\n')).toEqual(['part    uL', '──────────', 'bore  0.07', 'tube  12.5']);
  });

  it('wraps the widest column at words when the line is too narrow, and loses none', () => {
    const words = 'the pressure is under the lowest rating in the air line of this station';
    const text = tableText([{ head: 'n', align: 'right' }, { head: 'why' }], [['1', words]], view);
    const lines = text.split('\n');
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(40);
    expect(lines.slice(2).join(' ').replace(/\s+/g, ' ').trim()).toBe(`1 ${words}`);
  });

  it('bold heads do not move the columns', () => {
    const plain = tableText([{ head: 'a' }, { head: 'b' }], [['1', '2']], view);
    const colored = tableText([{ head: 'a' }, { head: 'b' }], [['1', '2']], { ...view, style: styleOf(1) });
    expect(colored).not.toBe(plain);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: the colour codes are control characters
    expect(colored.replace(/\u001b\[\d+m/g, '')).toBe(plain);
  });

  it('pairs break a long value at words, under its start', () => {
    const text = pairsText([['why', 'the pressure is under the lowest rating in the line']], view);
    expect(text).toBe('why  the pressure is under the lowest\n     rating in the line');
  });

  it('pairs line up their values and leave out what does not apply', () => {
    expect(
      pairsText(
        [
          ['free volume', '3.1 uL'],
          ['not here', null],
          ['seat', '6.2 mm'],
        ],
        view,
      ),
    ).toBe('free volume  3.1 uL\nseat         6.2 mm');
  });
});

describe('tables of any words and numbers', () => {
  const word = fc.stringMatching(/^[a-z]{1,9}$/);
  const words = (most: number) => fc.array(word, { minLength: 1, maxLength: most }).map(list => list.join(' '));
  const table = fc.integer({ min: 1, max: 9 }).chain(count =>
    fc.record({
      columns: fc.integer({ min: 40, max: 120 }),
      heads: fc.array(fc.record({ head: words(3), align: fc.constantFrom('left' as const, 'right' as const) }), {
        minLength: count,
        maxLength: count,
      }),
      rows: fc.array(
        fc.array(fc.tuple(words(8), fc.float({ noNaN: true, min: 0, max: 1000 })), {
          minLength: count,
          maxLength: count,
        }),
        {
          minLength: 1,
          maxLength: 4,
        },
      ),
    }),
  );

  it('keep to the width, lose no word, and wrap nothing that has room', () => {
    let [tables, lists, whole] = [0, 0, 0];
    fc.assert(
      fc.property(table, ({ columns, heads, rows }) => {
        const cells = rows.map(row =>
          row.map(([text, number], i) => (heads[i]!.align === 'right' ? number.toFixed(2) : text)),
        );
        const text = tableText(heads, cells, { style: styleOf(0), columns });
        const lines = text.split('\n');
        for (const line of lines) expect(line.length).toBeLessThanOrEqual(columns);
        const sorted = (of: string) =>
          of
            .split(/[\s─]+/)
            .filter(Boolean)
            .sort();
        const ruled = text.includes('─');
        const all = ruled
          ? [...heads.map(({ head }) => head), ...cells.flat()]
          : cells.flatMap(row => row.flatMap((cell, i) => [heads[i]!.head, cell]));
        expect(sorted(text)).toEqual(sorted(all.join(' ')));
        ruled ? tables++ : lists++;
        const widths = heads.map(({ head }, i) => Math.max(head.length, ...cells.map(row => row[i]!.length)));
        if (widths.reduce((sum, width) => sum + width + 2, -2) > columns) return;
        whole++;
        expect(lines).toHaveLength(2 + rows.length); // heads, rule, one line a row
      }),
      { seed: 80, numRuns: 500 },
    );
    for (const seen of [tables, lists, whole]) expect(seen).toBeGreaterThan(30);
  });
});
