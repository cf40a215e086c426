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
