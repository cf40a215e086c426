import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { gaugeGrid } from '../../../src/analysis/dot/gauge-grid.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { marksOf } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { gaugePdf, gaugeSheet } from '../../../src/report/pdf/gauge-sheet.ts';
import { exampleGauge, exampleInput, LONG_NAME } from './gauge-example.ts';
import { collisions, outside } from './layout-check.ts';
import { openPdf, type PaintedPath, pathsOf, textOf } from './read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);

async function pathsOfGauge(overrides: Parameters<typeof exampleGauge>[0] = {}, diameters?: number[]) {
  const pdf = await openPdf(await gaugePdf(exampleInput(exampleGauge(overrides, diameters)), fonts));
  return { pdf, paths: await pathsOf(pdf, 1) };
}

/** Rings are the only thin curves of the sheet; those of the corner marks are a millimetre wide, or filled. */
const rings = (paths: PaintedPath[]) => paths.filter(p => p.curved && p.lineWidth < 0.6);
/** Lines of one exact length, to the 0.01 mm that a printed scale is good for. */
const lines = (paths: PaintedPath[], size: { width: number; height: number }) =>
  paths.filter(p => !p.curved && Math.abs(p.width - size.width) < 0.01 && Math.abs(p.height - size.height) < 0.01);

describe('rings read back from the file', () => {
  test.each([
    ['small', [2.6, 2.9, 3.2]],
    ['usual', [6.1, 6.45, 6.8]],
    ['large', [96, 100, 104]],
  ])('are to scale within 0.01 mm: %s', async (_, diameters) => {
    const { paths } = await pathsOfGauge({ circles: 1 }, diameters);
    const found = rings(paths);
    expect(found.map(r => r.width.toFixed(2))).toEqual(diameters.map(d => d.toFixed(2)));
    for (const [i, r] of found.entries()) {
      expect(Math.abs(r.width - diameters[i]!)).toBeLessThan(0.01);
      expect(Math.abs(r.height - diameters[i]!)).toBeLessThan(0.01);
      // round everywhere, not at the four ends alone
      const [x, y] = [(r.left + r.right) / 2, (r.top + r.bottom) / 2];
      for (const p of r.points) expect(Math.abs(2 * Math.hypot(p[0] - x, p[1] - y) - diameters[i]!)).toBeLessThan(0.01);
    }
  });

  test('are one path each, told apart by their dashes, with lines no wider than half their gaps', async () => {
    const { paths } = await pathsOfGauge({ circles: 7 }, [5.1, 6.1, 7.3]);
    const found = rings(paths);
    expect(found).toHaveLength(21);
    expect(found.slice(0, 3).map(r => r.dashed)).toEqual([true, false, true]);
    for (const r of found) {
      expect(r.lineWidth).toBeGreaterThanOrEqual(0.199);
      expect(r.lineWidth).toBeLessThan(0.26); // half the gap of 0.5 mm between two rings at most
    }
  });

  test('are divided by the scale of the printer, each way by its own', async () => {
    const { paths } = await pathsOfGauge({ circles: 1, scale_x: 0.994, scale_y: 1.002 });
    for (const [i, d] of [6.1, 6.45, 6.8].entries()) {
      expect(rings(paths)[i]!.width).toBeCloseTo(d / 0.994, 3);
      expect(rings(paths)[i]!.height).toBeCloseTo(d / 1.002, 3);
    }
  });
});

describe('check bars read back from the file', () => {
  test.each([
    [1, 1],
    [0.994, 1.002],
    [0.9, 1.1],
  ])('measure 100 mm and 4 in times the scale that they are drawn for: %f, %f', async (scale_x, scale_y) => {
    const { paths } = await pathsOfGauge({ scale_x, scale_y });
    for (const nominal of [100, 4 * 25.4]) {
      expect(lines(paths, { width: nominal / scale_x, height: 0 })).toHaveLength(1);
      expect(lines(paths, { width: 0, height: nominal / scale_y })).toHaveLength(1);
    }
  });

  test('have their end marks at the ends of the base line', async () => {
    const { paths } = await pathsOfGauge({ scale_x: 0.95 });
    const base = lines(paths, { width: 100 / 0.95, height: 0 })[0]!;
    const marks = lines(paths, { width: 0, height: 3 }).filter(p => Math.abs(p.bottom - base.bottom) < 0.01);
    expect(marks).toHaveLength(11);
    expect(Math.min(...marks.map(m => m.left))).toBeCloseTo(base.left, 3);
    expect(Math.max(...marks.map(m => m.left))).toBeCloseTo(base.right, 3);
    const gaps = marks.slice(1).map((m, i) => m.left - marks[i]!.left);
    for (const gap of gaps) expect(gap).toBeCloseTo(10 / 0.95, 3);
  });
});

describe('the file', () => {
  test('has the paper size asked for', async () => {
    // ISO 216 and 8.5 in × 11 in, in points
    const sizes = { a4: [595.2756, 841.8898], letter: [612, 792] } as const;
    for (const paper of ['a4', 'letter'] as const) {
      const { pdf } = await pathsOfGauge({ paper });
      const view = (await pdf.getPage(1)).view;
      expect(view[2]).toBeCloseTo(sizes[paper][0], 3);
      expect(view[3]).toBeCloseTo(sizes[paper][1], 3);
    }
  });

  test('says how to print and read it: no scaling, title shown, language, tags, date', async () => {
    const { pdf } = await pathsOfGauge();
    const { info } = (await pdf.getMetadata()) as unknown as { info: Record<string, unknown> };
    expect(info).toMatchObject({ Title: 'Dot gauge: Tide-gauge pigtail', Creator: 'dwellbook 0.1.0', Language: 'en' });
    expect(info['CreationDate']).toBe('D:20261125000000Z');
    expect(await pdf.getViewerPreferences()).toMatchObject({ PrintScaling: 'None', DisplayDocTitle: true });
    expect(await pdf.getMarkInfo()).toMatchObject({ Marked: true });
  });

  test('has a structure tree with heading, paragraphs, table, and figures with their words', async () => {
    const { pdf } = await pathsOfGauge({ circles: 2 });
    const tree = await (await pdf.getPage(1)).getStructTree();
    const nodes: { role: string; alt?: string }[] = [];
    const walk = (node: unknown) => {
      const n = node as { role?: string; alt?: string; children?: unknown[] };
      if (n.role !== undefined) nodes.push(n as { role: string });
      for (const child of n.children ?? []) walk(child);
    };
    walk(tree);
    const roles = nodes.map(n => n.role);
    for (const role of ['Document', 'H1', 'H2', 'P', 'Table', 'TR', 'TH', 'TD', 'Figure'])
      expect(roles).toContain(role);
    const alts = nodes.filter(n => n.role === 'Figure').map(n => n.alt);
    expect(alts.filter(a => a === 'aim ring, 6.45 mm across')).toHaveLength(2);
    expect(alts.filter(a => a?.startsWith('Check bar'))).toHaveLength(2);
    expect(alts).not.toContain(undefined);
  });

  test('embeds its fonts and uses no other', async () => {
    const bytes = await gaugePdf(exampleInput(exampleGauge()), fonts);
    const file = Buffer.from(bytes).toString('latin1');
    const names = [...file.matchAll(/\/FontName \/(\S+)/g)].map(m => m[1]!.replace(/^[A-Z]+\+/, ''));
    expect(names.sort()).toEqual(['Inter-Medium', 'Inter-Regular', 'Inter-SemiBold']);
    expect(file.match(/\/FontFile2 /g)).toHaveLength(3);
    expect(file).not.toMatch(/\/Subtype \/Type1/);
    expect(file).not.toContain('FlateDecode');
  });

  test('is the same to the last byte for the same input', async () => {
    const input = exampleInput(exampleGauge({ circles: 45 }), LONG_NAME);
    expect(Buffer.compare(await gaugePdf(input, fonts), await gaugePdf(input, fonts))).toBe(0);
  });

  test('keeps its metadata sound XML whatever the recipe is called', async () => {
    const bytes = await gaugePdf(exampleInput(exampleGauge(), LONG_NAME), fonts);
    const file = Buffer.from(bytes).toString('utf8');
    expect(file).toContain('&amp; its &lt;spare&gt;');
    const pdf = await openPdf(bytes);
    const { info } = (await pdf.getMetadata()) as unknown as { info: { Title: string } };
    expect(info.Title).toBe(`Dot gauge: ${LONG_NAME}`);
  });

  test('says what must be known to use it', async () => {
    const { pdf } = await pathsOfGauge({ scale_x: 0.994 });
    const text = (await textOf(pdf, 1)).normalize('NFKC'); // the micro sign may come back as the Greek letter
    for (const words of [
      'Print at 100 %',
      'all four marks in it, straight from above',
      '4.8 % of the volume',
      '4.560 µL = 5.240 mg'.normalize('NFKC'),
      '2, all on the same spot',
      'glass slide over the sheet',
      '20 s after the last shot',
      'One shot alone (4.93 mm) would be known to 6.2 % only',
      'ok, trim',
      '6.22 to 6.66 mm across, ± 10 % of the aim',
      'Print again, do not copy',
      'left edge of mark 0',
      'upper edge of mark 0',
      '--scale-x',
      '--scale-y',
      'Operator',
      'Date',
      'Syringe',
      'Lot',
      'recipe format 1',
      '3fa94c1e3fa94c1e',
      'dwellbook 0.1.0',
      'Needles puncture skin',
      'Page 1 of 1',
    ]) {
      expect(text).toContain(words);
    }
  });
});

describe('words that depend on the gauge', () => {
  const text = async (
    overrides: Parameters<typeof exampleGauge>[0],
    length: 'mm' | 'in' = 'mm',
    diameters?: number[],
  ) => {
    const input = { ...exampleInput(exampleGauge({ circles: 1, ...overrides }, diameters)), length };
    return textOf(await openPdf(await gaugePdf(input, fonts)), 1);
  };

  test('one shot that is known well enough is not excused', async () => {
    const fine = await text({ shots_per_circle: 1, reading_error_pct: 3 });
    expect(fine).not.toMatch(/known to|weigh/);
    expect(await text({ shots_per_circle: 1, reading_error_pct: 7.4 })).toContain(
      'known to 7.4 % only: weigh shots as well',
    );
  });

  test('inches stand beside millimetres where the station speaks in inches', async () => {
    const both = await text({ ok_mm: [6.223, 6.658] }, 'in');
    expect(both).toContain('6.22 to 6.66 mm (0.245 to 0.262 in) across'); // 6.223 mm / 25.4 = 0.2450 in
    for (const inches of ['0.240', '0.254', '0.268']) expect(both).toContain(inches); // 6.1, 6.45, 6.8 mm
    expect(both).toContain('mm / in');
    expect(await text({})).not.toMatch(/\b0\.254\b|mm \/ in/);
  });

  test('the solid line is what to end on where it is as wide as the tolerance', async () => {
    const ok = { ok_mm: [5.9, 6.34] as const };
    expect(await text(ok, 'mm', [5.06, 6.12, 6.94])).toContain('ends on the solid line, 5.90 to 6.34 mm');
    expect(await text({})).not.toContain('solid line');
  });
});

describe('pages', () => {
  test('number the circles on from page to page and draw each once', () => {
    const sheet = gaugeSheet(exampleInput(exampleGauge({ circles: 45 })), measure);
    expect(sheet.pages).toHaveLength(3);
    const numbers = sheet.pages.flatMap(p =>
      marksOf(p.blocks).flatMap(m => (m.kind === 'text' && m.size === 9.5 && /^\d+$/.test(m.text) ? [m.text] : [])),
    );
    expect(numbers).toEqual(Array.from({ length: 45 }, (_, i) => String(i + 1)));
    const circles = sheet.pages.map(
      p => marksOf(p.blocks).filter(m => m.kind === 'circle' && m.width > 0 && m.width < 0.6).length / 3,
    );
    expect(circles).toEqual([20, 20, 5]);
  });

  test('nothing leaves the printable part of the paper, and no text lies on anything', () => {
    fc.assert(
      fc.property(
        fc.record({
          paper: fc.constantFrom('a4' as const, 'letter' as const),
          aim: fc.double({ min: 1, max: 83, noNaN: true }),
          gap: fc.double({ min: 0.01, max: 0.12, noNaN: true }),
          circles: fc.integer({ min: 1, max: 50 }),
          scale_x: fc.double({ min: 0.9, max: 1.1, noNaN: true }),
          scale_y: fc.double({ min: 0.9, max: 1.1, noNaN: true }),
          shots_per_circle: fc.constantFrom(1, 2, 12),
          calibration_dots: fc.constantFrom(0, 1, 6),
          surface: fc.constantFrom(null, 'glass slide over the sheet', LONG_NAME),
          length: fc.constantFrom('mm' as const, 'in' as const),
          name: fc.constantFrom('A', LONG_NAME, 'x'.repeat(300), 'two\nlines\tand a tab'),
        }),
        ({ aim, gap, name, length, ...rest }) => {
          const diameters = [aim * (1 - gap), aim, aim * (1 + gap)];
          const gauge = exampleGauge({ ...rest, contact_angle_uncertainty_deg: 0.6 }, diameters);
          for (const page of gaugeSheet({ ...exampleInput(gauge, name), length }, measure).pages) {
            expect(outside(page, 7, measure)).toEqual([]); // printers keep some 4 to 6 mm of the edge white
            expect(collisions(marksOf(page.blocks), measure)).toEqual([]);
          }
        },
      ),
      { seed: 7, numRuns: 60 },
    );
  });

  test('all ink is black or white', async () => {
    const bytes = await gaugePdf(exampleInput(exampleGauge()), fonts);
    const colours = [
      ...Buffer.from(bytes)
        .toString('latin1')
        .matchAll(/([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b/g),
    ];
    expect(new Set(colours.map(c => c.slice(1).join(' ')))).toEqual(new Set(['0 0 0']));
  });

  test('refuse a ring that does not fit the paper', () => {
    expect(() => gaugeSheet(exampleInput(exampleGauge({}, [200, 210, 220])), measure)).toThrow(/does not fit/);
    expect(gaugeGrid({ paper: 'a4', width: 0.22, height: 0.22 })).toBeNull();
  });
});
