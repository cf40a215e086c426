import { describe, expect, test } from 'vitest';
import { type Diagnostic, finding, placed } from '../../src/diagnostics/finding.ts';
import { mergeRepeated } from '../../src/diagnostics/repeated.ts';

const at = (line: number, column = 1) => ({ file: 'd.csv', line, column, end_line: line, end_column: column + 1 });
const bad = (line: number, text: string, column = 1): Diagnostic =>
  placed(finding('error', 'number-invalid', 'mass', `"${text}" is not a number`), at(line, column));

describe('faults that repeat themselves', () => {
  test('are one, with their number and the first three places', () => {
    const merged = mergeRepeated([4, 5, 7, 9, 12].map(line => bad(line, `x${line}`)));
    expect(merged).toHaveLength(1);
    expect(merged[0]).toMatchObject({
      line: 4,
      message: '"x4" is not a number (5 times: lines 4, 5, 7 and 2 more)',
    });
    expect(mergeRepeated([bad(4, 'a'), bad(9, 'b')])[0]!.message).toContain('(2 times: lines 4 and 9)');
    expect(mergeRepeated([bad(1, 'a', 3), bad(1, 'b', 8)])[0]!.message).toContain('(2 times: columns 3 and 8)');
  });

  test('those of another column, another kind, or about the whole stay apart', () => {
    const other = placed(finding('error', 'number-invalid', 'dwell', '"x" is not a number'), at(5));
    const empty = placed(finding('error', 'data-cell-missing', 'mass', 'the cell of "mass" is empty'), at(6));
    const rules = [1, 2].map(n => placed(finding('warning', 'trend-signal', null, `rule ${n} fires`), at(1)));
    const all = [bad(4, 'x'), other, empty, ...rules];
    expect(mergeRepeated(all)).toEqual(all);
  });
});
