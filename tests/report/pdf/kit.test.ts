import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, test } from 'vitest';
import { readFonts } from '../../../src/files/fonts.ts';
import { circleCommands } from '../../../src/report/page/circle-commands.ts';
import { drawPdf } from '../../../src/report/page/draw-pdf.ts';
import { type Block, type Mark, marksOf } from '../../../src/report/page/marks.ts';
import { fitText, paragraph, wrapText } from '../../../src/report/page/set-text.ts';
import { blanks, facts, foot, table } from '../../../src/report/page/sheet-parts.ts';
import { PT_PER_MM, textMeasure } from '../../../src/report/page/text-measure.ts';
import { CAUTION_TEXT, CAUTIONS } from '../../../src/report/words/cautions.ts';
import { collisions, textRectangle } from './layout-check.ts';
import { openPdf, pathsOf, textOf } from './read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);
const style = { font: 'regular', size: 8 } as const;

/** A one-page document with these marks, for reading back what the drawing did with them. */
function pageOf(marks: Mark[], size = { width: 100, height: 80 }): Promise<Uint8Array> {
  const page = { ...size, blocks: [{ tag: 'P' as const, marks }] };
  const created = new Date('2026-11-25T00:00:00Z');
  return drawPdf({ title: 't', subject: 's', lang: 'en', creator: 'c', created, pages: [page] }, fonts);
}

describe('text', () => {
  test('grows with its size, and figures of one width line up', () => {
    expect(measure('Amber 40', 'regular', 16)).toBeCloseTo(2 * measure('Amber 40', 'regular', 8), 10);
    expect(measure('111.1', 'regular', 8)).toBeCloseTo(measure('888.8', 'regular', 8), 10);
  });

  test('is drawn as wide as measured', async () => {
    const pdf = await openPdf(await pageOf([{ kind: 'text', x: 10, y: 20, text: 'Tide-gauge pigtail', ...style }]));
    const { items } = await (await pdf.getPage(1)).getTextContent();
    const item = items[0] as { width: number; transform: number[] };
    expect(item.width / PT_PER_MM).toBeCloseTo(measure('Tide-gauge pigtail', 'regular', 8), 1); // the reader rounds advances to 1/1000 em
    expect(item.transform[4]! / PT_PER_MM).toBeCloseTo(10, 3);
    expect(item.transform[5]! / PT_PER_MM).toBeCloseTo(80 - 20, 3); // PDF counts from the bottom
  });

  test('stands at its anchor: left, in the middle, right, and turned', async () => {
    const word = 'dwell';
    const at = (y: number, rest: object): Mark => ({ kind: 'text', x: 50, y, text: word, ...style, ...rest });
    const pdf = await openPdf(
      await pageOf([at(10, {}), at(20, { align: 'center' }), at(30, { align: 'right' }), at(40, { angle: 90 })]),
    );
    const { items } = await (await pdf.getPage(1)).getTextContent();
    const starts = items.map(i => (i as { transform: number[] }).transform).filter(t => t.some(v => v !== 0));
    const width = measure(word, 'regular', 8);
    expect(starts.slice(0, 3).map(t => t[4]! / PT_PER_MM)).toEqual(
      [50, 50 - width / 2, 50 - width].map(x => expect.closeTo(x, 3)),
    );
    expect(starts[3]!.slice(0, 2).map(v => Math.round(v))).toEqual([0, 8]); // its direction points upwards
  });

  test('comes back as it was written, arrows, letters between digits and accents included', async () => {
    for (const words of ['a -> b', '12x8', 'Ø 3.6 ÷ 2 ≤ 4 − 1 °C', 'Küstenpegel Nº 7 «ё»']) {
      const pdf = await openPdf(await pageOf([{ kind: 'text', x: 10, y: 20, text: words, ...style }]));
      expect((await textOf(pdf, 1)).normalize('NFKC').trim()).toBe(words.normalize('NFKC'));
    }
  });

  test('broken into lines keeps every word and fits', () => {
    const words = fc.array(
      fc.string({ minLength: 1, maxLength: 30 }).map(s => s.replace(/\s/g, 'x')),
      { maxLength: 30 },
    );
    fc.assert(
      fc.property(words, fc.double({ min: 12, max: 120, noNaN: true }), (list, width) => {
        const text = list.join(' ');
        const lines = wrapText(text, width, style, measure);
        for (const line of lines) {
          expect([...line].length === 1 || measure(line, 'regular', 8) <= width).toBe(true);
        }
        const squeeze = (s: string) => s.replace(/[\p{Cc}\p{Zl}\p{Zp}\s]+/gu, '');
        expect(squeeze(lines.join(''))).toBe(squeeze(text));
      }),
      { seed: 3, numRuns: 200 },
    );
  });

  test('that is too long ends in an ellipsis, within its width, and says as much as fits', () => {
    const long = 'hydrophone '.repeat(40);
    const cut = fitText(long, 40, style, measure);
    expect(cut.endsWith('…')).toBe(true);
    expect(measure(cut, 'regular', 8)).toBeLessThanOrEqual(40);
    expect(measure(`${long.slice(0, cut.length + 1)}…`, 'regular', 8)).toBeGreaterThan(40);
    const lines = paragraph(long, { x: 0, y: 0, width: 40, leading: 3, lines: 3, ...style }, measure);
    expect(lines).toHaveLength(3);
    expect(lines[2]!.text.endsWith('…')).toBe(true);
    expect(lines.map(l => l.y)).toEqual([0, 3, 6]);
  });
});

describe('a circle', () => {
  test('of eight curves deviates from round by less than 5e-6 of its radius', () => {
    const commands = circleCommands({ x: 0, y: 0, radiusX: 1, radiusY: 1 });
    expect(commands).toHaveLength(10);
    let [px, py] = [1, 0];
    let worst = 0;
    for (const c of commands) {
      if (c[0] !== 'C') continue;
      const [, x1, y1, x2, y2, x, y] = c;
      for (let k = 0; k <= 100; k++) {
        const t = k / 100;
        const mix = (a: number, b: number, d: number, e: number) =>
          (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t * t * d + t ** 3 * e;
        worst = Math.max(worst, Math.abs(Math.hypot(mix(px, x1, x2, x), mix(py, y1, y2, y)) - 1));
      }
      [px, py] = [x, y];
    }
    expect(worst).toBeLessThan(5e-6);
    expect([px, py]).toEqual([1, 0]); // closed exactly
  });
});

describe('shapes read back from the file', () => {
  test('have the places and line widths of their marks', async () => {
    const pdf = await openPdf(
      await pageOf([
        { kind: 'line', x1: 10, y1: 10, x2: 30, y2: 10, width: 0.3 },
        { kind: 'box', x: 10, y: 20, boxWidth: 12, boxHeight: 5, width: 0.2, dash: [1, 1] },
        { kind: 'path', commands: [['M', 10, 40], ['L', 20, 50], ['L', 30, 40], ['Z']], width: 0, fill: 'black' },
      ]),
    );
    const [line, box, path] = await pathsOf(pdf, 1);
    expect([line!.left, line!.right, 80 - line!.top]).toEqual([10, 30, 10].map(v => expect.closeTo(v, 3)));
    expect(line!.lineWidth).toBeCloseTo(0.3, 4);
    expect([box!.width, box!.height, 80 - box!.top]).toEqual([12, 5, 20].map(v => expect.closeTo(v, 3)));
    expect(box!.dashed).toBe(true);
    expect([path!.width, path!.height]).toEqual([20, 10].map(v => expect.closeTo(v, 3)));
  });
});

describe('parts of a sheet', () => {
  test('a table keeps its cells apart, cuts what is too long, and is tagged row by row', () => {
    const block = table(
      {
        x: 10,
        y: 10,
        leading: 5,
        columns: [
          { title: 'Name', width: 30 },
          { title: 'Dwell s', width: 20, align: 'right' },
        ],
        rows: [
          ['w'.repeat(60), '0.53'],
          ['short', '123456789012345678901234567890'],
        ],
      },
      measure,
    );
    const marks = marksOf([block]);
    expect(collisions(marks, measure)).toEqual([]);
    const texts = marks.filter(m => m.kind === 'text');
    for (const t of texts) expect(textRectangle(t, measure).right).toBeLessThanOrEqual(60);
    const rows = block.blocks![0]!.blocks!;
    expect(rows.map(r => r.blocks!.map(c => c.tag))).toEqual([
      ['TH', 'TH'],
      ['TH', 'TD'],
      ['TH', 'TD'],
    ]);
  });

  test('facts wrap their values and say where they end', () => {
    const list = [
      { label: 'Surface', value: 'a glass slide, cleaned with a lint-free cloth and laid over the sheet' },
      { label: 'Read', value: 'after 20 s' },
    ];
    const { block, end } = facts(list, { x: 0, y: 10, width: 60, labelWidth: 20, leading: 5, lines: 3 }, measure);
    expect(collisions(marksOf([block]), measure)).toEqual([]);
    const last = marksOf([block])
      .filter(m => m.kind === 'text')
      .at(-1)!;
    expect(end).toBeGreaterThan(last.y);
  });

  test('blanks leave a line to write on after each label, and fill the width', () => {
    const block = blanks(
      [
        { label: 'Operator', share: 2 },
        { label: 'Date', share: 1 },
      ],
      { x: 10, y: 50, width: 100 },
      measure,
    );
    const lines = marksOf([block]).filter(m => m.kind === 'line');
    expect(lines).toHaveLength(2);
    expect(lines[1]!.x2).toBeCloseTo(110, 9);
    for (const l of lines) expect(l.x2 - l.x1).toBeGreaterThan(20);
    expect(collisions(marksOf([block]), measure)).toEqual([]);
  });

  test('a foot line gives way to its page number', () => {
    const block: Block = foot('x'.repeat(400), 'Page 10 of 12', { left: 10, right: 100, y: 70 }, measure);
    expect(collisions(marksOf([block]), measure)).toEqual([]);
  });
});

describe('cautions', () => {
  test('name every danger that the work holds, and who has the last word', () => {
    for (const word of [
      'Compressed air',
      'Needles',
      'sensitise',
      'heats itself',
      'Fibre ends',
      'data sheet',
      'local codes',
    ]) {
      expect(CAUTION_TEXT).toContain(word);
    }
    for (const caution of CAUTIONS) expect(caution.endsWith('.')).toBe(true);
  });
});

describe('fonts', () => {
  const folders: string[] = [];
  const folder = () => {
    folders.push(mkdtempSync(join(tmpdir(), 'fonts-')));
    return folders.at(-1)!;
  };
  afterAll(() => {
    for (const f of folders) rmSync(f, { recursive: true });
  });

  test('are found beside a built program', () => {
    const root = folder();
    mkdirSync(join(root, 'fonts'));
    mkdirSync(join(root, 'chunks'));
    for (const name of ['400Regular', '500Medium', '600SemiBold']) {
      writeFileSync(join(root, 'fonts', `Inter_${name}.ttf`), name);
    }
    const found = readFonts(join(root, 'chunks'));
    expect(Buffer.from(found.medium).toString()).toBe('500Medium');
  });

  test('that are missing are named', () => {
    const root = folder();
    expect(() => readFonts(root)).toThrow(/Inter_400Regular\.ttf not found/);
  });
});
