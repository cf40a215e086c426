import { describe, expect, test } from 'vitest';
import { cavity } from '../../../src/analysis/cavity/cavity.ts';
import { cavityView } from '../../../src/analysis/cavity/cavity-view.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import type { Mark, PathMark } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { cavityDrawing } from '../../../src/report/section/cavity-drawing.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { collisions, outside } from '../pdf/layout-check.ts';

const measure = textMeasure(readFonts());

function drawn(overrides: Record<string, unknown> = {}) {
  const recipe = exampleRecipe(overrides);
  return cavityDrawing(cavity(recipe).result!, cavityView(recipe)!, 'Pigtail', measure);
}

const texts = (marks: readonly Mark[]) => marks.flatMap(m => (m.kind === 'text' ? [m.text] : []));
const captions = (marks: readonly Mark[]) => texts(marks).filter(t => /^(?:The|Least|Wanted|Greatest) /.test(t));
/** So many times as large as life, as the picture says. */
const scaleOf = (marks: readonly Mark[]) => Number(/^([\d.]+) : 1 /.exec(texts(marks)[1]!)![1]);
const black = (marks: readonly Mark[]) =>
  marks.filter((m): m is PathMark => m.kind === 'path' && m.fill === 'black' && m.commands.length > 4);
const corners = (m: PathMark) => m.commands.flatMap(([, ...at]) => (at.length === 2 ? [at as [number, number]] : []));
const extent = (m: PathMark) => {
  const xs = corners(m).map(([x]) => x);
  return { left: Math.min(...xs), right: Math.max(...xs) };
};

/** Volume [µL] that the upper half of an outline sweeps about its axis, by frustums: π·h·(r₁² + r₁r₂ + r₂²)/3. */
function swept(m: PathMark, scale: number): number {
  const at = corners(m);
  const upper = at.slice(0, at.length / 2);
  const axis = (at[0]![1] + at.at(-1)![1]) / 2;
  return upper.slice(1).reduce((sum, [x, y], i) => {
    const [r1, r2] = [(axis - upper[i]![1]) / scale, (axis - y) / scale];
    return sum + (Math.PI * ((x - upper[i]![0]) / scale) * (r1 * r1 + r1 * r2 + r2 * r2)) / 3;
  }, 0);
}

/** The bores of the example [mm], by hand: a cylinder, a cone, and the tube up to a place. */
const upTo = (reach: number) =>
  (Math.PI / 4) * (0.126 ** 2 * 5.5 + (0.6 * (0.126 ** 2 + 0.126 * 0.9 + 0.9 ** 2)) / 3 + 1.1 ** 2 * (reach - 6.1));

describe('a section of a connector', () => {
  test('is to scale: what the resin sweeps about the axis is the bore up to its reach, by hand', () => {
    const { marks } = drawn();
    const scale = scaleOf(marks);
    // beads have many corners, arrows few: resin reaches from the end face, at the right of all beads
    const resin = black(marks).filter(m => extent(m).right - extent(m).left > 8 * scale && corners(m).length < 20);
    const reaches = [9, cavity(exampleRecipe()).result!.reach_aim_mm!, 12.5];
    const filled = resin.filter(m => Math.abs(corners(m)[0]![0] - extent(resin.at(-1)!).left) < 1e-9);
    expect(filled).toHaveLength(3);
    for (const [i, reach] of reaches.entries()) {
      const { left, right } = extent(filled[i]!);
      expect((right - left) / scale).toBeCloseTo(reach, 9);
      expect(swept(filled[i]!, scale) / upTo(reach)).toBeCloseTo(1, 9);
    }
  });

  test('has the needle at the place where a cone is as wide as it, and its hub where its length ends', () => {
    const { marks } = drawn();
    const scale = scaleOf(marks);
    const outside22 = 0.7176; // 22 G in the usual gauge table, 0.02825 in
    const seat = 5.5 + (0.6 * (outside22 - 0.126)) / (0.9 - 0.126);
    const hub = marks.find(m => m.kind === 'box')!;
    const resin = black(marks).filter(m => corners(m).length < 20); // beads have more corners
    const face = Math.min(...resin.map(m => extent(m).left));
    expect((hub.kind === 'box' ? hub.x - face : 0) / scale).toBeCloseTo(seat + 12.7, 2); // the table's outside has four digits
    expect(texts(marks)).toContain('5.96 mm');
  });

  test('says what each section shows', () => {
    expect(captions(drawn().marks)).toEqual([
      expect.stringMatching(
        /^The needle at its seat in lead-in, 5\.\d+ mm between hub and connector; bore shot 0\.159 µL$/,
      ),
      expect.stringMatching(/^Least reach, cable in: backfill [\d.]+ µL$/),
      expect.stringMatching(/^Wanted reach, cable in: backfill [\d.]+ µL$/),
      expect.stringMatching(/^Greatest reach, cable in: backfill [\d.]+ µL$/),
    ]);
    const words = texts(drawn().marks);
    expect(words).toContain('bore Ø 0.126 × 5.5');
    expect(words).toContain('lead-in Ø 0.126 to 0.9 × 0.6');
    expect(words).toContain('buffer Ø 0.9 × 20');
  });

  test.each([
    [
      'a needle too short for its seat',
      { 'needle.length': 5e-3 },
      /^The needle is 2\.14 mm too short for its seat in lead-in/,
    ],
    ['no needle', { needle: null }, /^The cavity$/],
    ['a reach beyond the cavity', { 'connector.reach.max': 20e-3 }, /^Greatest reach, cable in: beyond the cavity$/],
    ['a needle thicker than its way', { 'needle.outside': 1.05e-3, 'needle.bore': 0.6e-3 }, /^The /],
  ])('shows %s', (_, overrides, caption) => {
    const { marks } = drawn(overrides);
    expect(texts(marks).some(t => caption.test(t))).toBe(true);
  });

  test('shows the cavity alone where nothing else is known', () => {
    const { marks } = drawn({ needle: null, 'connector.cable': null, 'connector.reach': null, 'connector.bead': null });
    expect(black(marks)).toEqual([]);
    expect(texts(marks)).toContain('The cavity');
  });

  test.each([
    ['the example', {}],
    ['a bore of 0.1 mm and a tube of 12 mm across', { 'connector.cavity[2].diameter': 12e-3 }],
    ['many short parts', { 'connector.cavity[0].length': 0.4e-3, 'connector.cable[0].length': 1.5e-3 }],
    ['a tube a metre long', { 'connector.cavity[2].length': 1 }],
    ['a needle a metre long', { 'needle.length': 1 }],
    ['long names', { 'connector.cavity[1].part': 'a lead-in with a very long name '.repeat(9) }],
    ['no end face', { 'connector.face': null }],
    ['a tube wider than the world', { 'connector.cavity[2].diameter': 1e30 }],
    ['a tube longer than the world', { 'connector.cavity[2].length': 1e30 }],
    ['a face wider than the world', { 'connector.face': 1e30 }],
    ['a cable thicker than the world', { 'connector.cable[2].diameter': 1e30 }],
  ])('keeps its texts apart and inside: %s', (_, overrides) => {
    const { width, height, marks } = drawn(overrides);
    const blocks = [{ tag: 'Figure' as const, marks: marks.filter(m => m.kind === 'text') }];
    expect(outside({ width, height, blocks }, 0, measure)).toEqual([]);
    expect(collisions(blocks[0]!.marks, measure)).toEqual([]);
    const all = [{ tag: 'Figure' as const, marks }];
    expect(outside({ width, height, blocks: all }, 0, measure)).toEqual([]);
  });

  const row = { count: 12, pitch: 0.75e-3 };
  const ARRAY = {
    'connector.cavity': [
      { part: 'bore', diameter: 126e-6, length: 1.5e-3, ...row },
      { part: 'lead-in', diameter: [126e-6, 0.5e-3], length: 0.5e-3, ...row },
      { part: 'chamber', width: 9.4e-3, height: 0.9e-3, length: 6e-3 },
    ],
    'connector.cable': [
      { part: 'fibre', diameter: 125e-6, length: 3.4e-3, ...row },
      { part: 'ribbon', width: 9.1e-3, height: 0.4e-3, length: 20e-3 },
    ],
    'connector.face': 10e-3,
    'connector.bead': { diameter: 0.35e-3, contact_angle: 0.9 },
    'connector.reach': { min: 4.5e-3, max: 6.5e-3 },
  };

  test('shows every bore of a row with its bead and fibre, at the pitch, and the chamber as wide as it is', () => {
    const { width, height, marks } = drawn(ARRAY);
    const scale = scaleOf(marks);
    const heads = black(marks).filter(m => corners(m).length > 20);
    // one bead a bore in each of four panels
    expect(heads).toHaveLength(4 * 12);
    const middles = heads.slice(0, 12).map(m => (corners(m)[0]![1] + corners(m).at(-1)![1]) / 2);
    for (let i = 1; i < 12; i++) expect((middles[i]! - middles[i - 1]!) / scale).toBeCloseTo(0.75, 9);
    const tall = (m: PathMark) => {
      const ys = corners(m).map(([, y]) => y);
      return (Math.max(...ys) - Math.min(...ys)) / scale;
    };
    const fills = black(marks)
      .filter(m => corners(m).length <= 8)
      .map(tall);
    expect(fills.filter(size => Math.abs(size - 9.4) < 1e-9)).toHaveLength(3); // resin in the chamber, at three reaches
    expect(texts(marks)).toContain('chamber 9.4 × 0.9 × 6');
    expect(texts(marks)).toContain('bore 12 of Ø 0.126 × 1.5');
    expect(texts(marks)[1]).toContain('cut along the row');
    const blocks = [{ tag: 'Figure' as const, marks }];
    expect(outside({ width, height, blocks }, 0, measure)).toEqual([]);
  });

  test('is the same each time', () => {
    expect(drawn()).toEqual(drawn());
  });
});
