import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readCsv } from '../../../src/data/csv/csv.ts';
import { headerText, splitHeader } from '../../../src/data/csv/heads.ts';
import { csvLine, writeCsv } from '../../../src/data/csv/write-csv.ts';

const brief = (text: string): string[] =>
  readCsv(text, 'd.csv').diagnostics.map(d => `${d.line}:${d.column} ${d.code}`);

describe('reading', () => {
  test('a header with units, extra columns, a BOM, CRLF and empty lines', () => {
    const { table, diagnostics } = readCsv(
      '\uFEFFpressure [kPa], dwell[s] ,note\r\n210,0.5,"first, fine"\r\n\r\n , ,\r\n220,0.6,\r\n',
      'd.csv',
    );
    expect(diagnostics).toEqual([]);
    expect(table!.columns.map(c => [c.name, c.unit])).toEqual([
      ['pressure', 'kPa'],
      ['dwell', 's'],
      ['note', null],
    ]);
    expect(table!.rows).toBe(2);
    expect(table!.columns[2]!.cells).toEqual(['first, fine', '']);
    expect(table!.place(1, 1)).toEqual({ file: 'd.csv', line: 5, column: 5, end_line: 5, end_column: 8 });
  });

  test('lines may end differently in one file, as where a log was begun under another system', () => {
    const { table, diagnostics } = readCsv('a,b\r\n1,2\r\n3,4\n5,6\n', 'd.csv');
    expect(diagnostics).toEqual([]);
    expect(table!.columns.map(c => c.cells)).toEqual([
      ['1', '3', '5'],
      ['2', '4', '6'],
    ]);
    expect(table!.place(2, 1)).toMatchObject({ line: 4, column: 3 });
  });

  test('quotes, doubled quotes and line breaks inside a cell keep the places right', () => {
    const { table } = readCsv('a,b\n"x ""y"",\nz",1\n2,3\n', 'd.csv');
    expect(table!.columns[0]!.cells).toEqual(['x "y",\nz', '2']);
    expect(table!.place(0, 1)).toMatchObject({ line: 3, column: 4 });
    expect(table!.place(1, 0)).toMatchObject({ line: 4, column: 1 });
  });

  test.each([';', '\t'])('a header without commas may use %j', delimiter => {
    const { table } = readCsv(`a [kPa]${delimiter}b\n1${delimiter}2\n${delimiter}4`, 'd.csv');
    expect(table!.columns.map(c => c.cells)).toEqual([
      ['1', ''],
      ['2', '4'],
    ]);
  });

  test('a comma inside a unit does not decide the delimiter', () => {
    expect(readCsv('a [1,0];b\n1;2', 'd.csv').table!.columns).toHaveLength(2);
  });

  test('a delimiter at the end of every line is no column', () => {
    const { table, diagnostics } = readCsv('a,b,\n1,2,\n3,4\n', 'd.csv');
    expect(diagnostics.map(d => d.code)).toEqual(['data-row-length']);
    expect(table!.columns.map(c => c.name)).toEqual(['a', 'b']);
  });

  test('what is wrong is reported with its place, all of it', () => {
    expect(brief('a,b,a\n1,2,3\n1,2\n1,2,3,4\n')).toEqual([
      '1:5 data-column-duplicate',
      '3:1 data-row-length',
      '4:1 data-row-length',
    ]);
    expect(brief('a,,b\n1,2,3')).toEqual(['1:3 data-column-nameless']);
    expect(brief('')).toEqual(['1:1 data-empty']);
    expect(brief('\n\n')).toEqual(['1:1 data-empty']);
    expect(brief('\na,b\n')).toEqual(['2:1 data-empty']);
    expect(brief('a,b\n1,"x\n2,3')).toEqual(['2:3 data-syntax']);
    expect(brief('a,b\n1,x"y\n')).toEqual(['2:3 data-syntax']);
    expect(brief('a,b\n1,"x"y\n')).toEqual(['2:3 data-syntax']);
  });

  test('names and units are taken apart', () => {
    expect(splitHeader(' shear rate [1/s] ')).toEqual({ name: 'shear rate', unit: '1/s' });
    expect(splitHeader('x')).toEqual({ name: 'x', unit: null });
    expect(splitHeader('x []')).toEqual({ name: 'x', unit: '' });
  });
});

describe('writing', () => {
  test('numbers in full, texts quoted where they must be, empty for what is not there', () => {
    expect(
      writeCsv(
        ['a [s]', 'b'],
        [
          [0.1 + 0.2, 'x, "y"'],
          [null, 'line\nbreak'],
          [1e-7, ' pad '],
        ],
      ),
    ).toBe('a [s],b\n0.30000000000000004,"x, ""y"""\n,line break\n1e-7," pad "\n');
    expect(headerText('dwell', 's')).toBe('dwell [s]');
    expect(headerText('note', null)).toBe('note');
  });

  test('no text can become a formula, no number is touched', () => {
    expect(csvLine(['=1+1', '+a', '-b', '@c', '-1.5', '+2e3', -3, '--'])).toBe("'=1+1,'+a,'-b,'@c,-1.5,+2e3,-3,'--");
  });

  test('what is written is read back', () => {
    const cell = fc.string({ unit: 'grapheme', maxLength: 12 }).filter(s => !/^[=+\-@\t]/.test(s) && !/[\r\n]/.test(s));
    fc.assert(
      fc.property(
        fc.array(fc.tuple(cell, fc.double({ noNaN: true, noDefaultInfinity: true })), { minLength: 1 }),
        rows => {
          const { table, diagnostics } = readCsv(
            writeCsv(
              ['t', 'n', 'k'],
              rows.map(([t, n]) => [t, n, 1]),
            ),
            'd.csv',
          );
          expect(diagnostics).toEqual([]);
          expect(table!.columns[0]!.cells).toEqual(rows.map(([t]) => t.trim()));
          expect(table!.columns[1]!.cells.map(Number)).toEqual(rows.map(([, n]) => n + 0));
        },
      ),
      { seed: 1 },
    );
  });
});
