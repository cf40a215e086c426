import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { visibleJson, visibleText } from '../../src/diagnostics/visible-text.ts';

/** Marks of direction (UAX 9), characters without width (UAX 44, Default_Ignorable_Code_Point), controls, separators, halves of pairs. */
const UNSEEN = [
  ...[0x0, 0x7, 0x8, 0xb, 0xc, 0xd, 0x1b, 0x7f, 0x80, 0x85, 0x9b, 0x9f],
  ...[0x61c, 0x200e, 0x200f, 0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069],
  ...[
    0xad, 0x34f, 0x115f, 0x1160, 0x17b4, 0x180b, 0x180e, 0x200b, 0x200c, 0x200d, 0x2060, 0x2064, 0x206a, 0x3164, 0xfe00,
  ],
  ...[0xfe0f, 0xfeff, 0xffa0, 0xfff9, 0xfffb, 0x2028, 0x2029, 0xd800, 0xdfff, 0xe0001, 0xe0041, 0xe0100],
];
const SEEN = [
  'plain',
  'µL · ± 15 %',
  'Wägung',
  'пример',
  '粘度',
  'عربي',
  'ไทย',
  'नमस्ते',
  '⚠\ufe0f',
  '🚢',
  'a\tb\nc',
  'e\u0301',
  '\u00a0',
  '5 °C',
];

describe('visible text', () => {
  it.each(UNSEEN)('%j is written as an escape', code => {
    const sign = String.fromCodePoint(code);
    const shown = visibleText(`a${sign}b`);
    expect(shown).toMatch(/^a\\(?:u[\da-f]{4}|U[\da-f]{8})b$/);
    expect(visibleText(shown)).toBe(shown);
    // The same escape as in YAML between double quotes, which has none for half a pair.
    if (code < 0xd800 || code > 0xdfff) expect(parse(`"${shown}"`)).toBe(`a${sign}b`);
    const json = visibleJson(JSON.stringify({ [sign]: [`a${sign}b`] }, null, 2));
    expect(json).toMatch(/^[\n\x20-\x7e]+$/);
    expect(JSON.parse(json)).toEqual({ [sign]: [`a${sign}b`] });
  });

  it.each(SEEN)('%j stays', text => {
    expect(visibleText(text)).toBe(text);
    expect(visibleJson(JSON.stringify(text))).toBe(JSON.stringify(text));
  });

  it('a mark for emoji elsewhere is not seen', () => {
    expect(visibleText('needle5\ufe0f')).toBe('needle5\\ufe0f');
  });
});
