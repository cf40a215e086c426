import { describe, expect, it } from 'vitest';
import { micro } from '../../../src/cli/terminal/plain-signs.ts';
import { unitSign } from '../../../src/report/words/number-text.ts';

describe('the micro sign', () => {
  it('is plain on a terminal whose locale names another encoding', () => {
    expect(micro({ LANG: 'C' }, true)('1.86 µL, 126 µm')).toBe('1.86 uL, 126 um');
    expect(micro({ LANG: 'de_DE.ISO-8859-1' }, true)('µL')).toBe('uL');
    expect(micro({ LC_ALL: 'POSIX', LANG: 'en_GB.UTF-8' }, true)('µL')).toBe('uL');
  });

  it('is a sign on other terminals, and in files and pipes whatever the locale', () => {
    expect(micro({ LANG: 'en_GB.UTF-8' }, true)('µL')).toBe('µL');
    expect(micro({ LC_CTYPE: 'C.utf8', LANG: 'C' }, true)('µL')).toBe('µL');
    expect(micro({}, true)('µL')).toBe('µL');
    expect(micro({ LANG: 'C' }, false)('µL')).toBe('µL');
  });

  it('is what people read for the u of keys', () => {
    expect(['uL', 'uL/s', 'uL/(Pa.s)', 'um', 'um^3', 'mm', 'Pa.s', 'lumen'].map(unitSign)).toEqual([
      ...['µL', 'µL/s', 'µL/(Pa.s)', 'µm', 'µm^3', 'mm', 'Pa.s', 'lumen'],
    ]);
  });
});
