import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { type ScanPicture, scan } from '../../../src/analysis/scan/scan.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { loadRecipe } from '../../../src/recipe/format/load.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { root } from '../../helpers/pages.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { PLAIN, type Taken, takenPicture } from './distorted-page.ts';
import { type Page, withoutCorner } from './distortions.ts';
import { drawnPage } from './drawn-page.ts';

const RINGS = [5.06, 6.13, 6.94];
let page: Page;
beforeAll(async () => {
  const pdf = await gaugePdf(exampleInput(exampleGauge({}, RINGS)), readFonts());
  page = { page: await drawnPage(pdf, { dpi: 200 }), dpi: 200 };
});

/** A picture of the page and what it tells; truth is what the picture was made with. */
function scanned(some: Partial<Taken>, density: number | null = some.dpi ?? null, cut?: number) {
  const plain = { ...PLAIN, ...some };
  const taken = cut === undefined ? plain : withoutCorner(plain, page, cut)!;
  const picture = takenPicture(page.page, page.dpi, taken, randomSource(3), 2);
  return scan({ ...picture, density: density === null ? null : { x: density, y: density } });
}

describe('a flatbed', () => {
  test.each([
    ['upright at 100 dpi', { dpi: 100 }],
    [
      'turned, stretched, noisy, soft, unevenly lit, through JPEG',
      { dpi: 110, turn: 213, scaleX: 0.97, scaleY: 1.02, noise: 6, blur: 0.6, light: 0.6, jpeg: 80 },
    ],
  ])('gives both scales to 0.1 %%: %s', (_, some: Partial<Taken>) => {
    const { result, findings } = scanned(some);
    expect(findings).toEqual([]);
    const [x, y] = [some.scaleX ?? 1, some.scaleY ?? 1];
    expect(Math.abs(result!.scale_x! / x - 1)).toBeLessThan(0.0005);
    expect(Math.abs(result!.scale_y! / y - 1)).toBeLessThan(0.0005);
    expect(Math.abs(result!.aspect! / (x / y) - 1)).toBeLessThan(0.0005);
    // A round print on its own: the next one is drawn for what this printer does.
    expect(result!.next).toEqual({ scale_x: Number(x.toFixed(4)), scale_y: Number(y.toFixed(4)) });
    expect(result!.verdict).toBe(some.scaleX === undefined ? 'use' : 'print anew');
    expect(result!.skew_deg).toBeCloseTo(0, 1);
    const turn = Math.abs(result!.turn_deg - (some.turn ?? 0)) % 360;
    expect(Math.min(turn, 360 - turn)).toBeLessThan(0.1);
  });

  test('measures the rings as they are printed', () => {
    const { result } = scanned({ dpi: 170, turn: 20, scaleX: 1.02, scaleY: 1.02 });
    for (const name of ['min', 'aim', 'max'] as const) {
      const rings = result!.rings.filter(r => r.name === name);
      expect(rings).toHaveLength(20);
      for (const r of rings) expect(Math.abs(r.measured_mm! / (r.due_mm * 1.02) - 1)).toBeLessThan(0.01);
    }
    expect(result!.ruler).toBe('resolution');
  });

  test('that cuts one corner mark off still does', () => {
    for (const cut of [0, 2]) {
      const { result } = scanned({ dpi: 110, turn: 30, scaleX: 0.99, noise: 4 }, 110, cut);
      expect(result!.corner_marks).toBe(3);
      expect(Math.abs(result!.scale_x! / 0.99 - 1)).toBeLessThan(0.001);
      expect(Math.abs(result!.scale_y! - 1)).toBeLessThan(0.001);
    }
  });

  test('whose file states no resolution tells the ratio of the axes alone, one that cannot be is not believed', () => {
    const open = scanned({ dpi: 100, scaleX: 1.02 }, null);
    expect(open.findings).toEqual([]);
    expect(open.result).toMatchObject({
      scale_x: null,
      scale_y: null,
      scale_error_pct: null,
      next: null,
      ruler: 'sheet',
    });
    expect(open.result!.aspect).toBeCloseTo(1.02, 3);
    expect(open.result!.verdict).toBe('print anew');
    const wrong = scanned({ dpi: 100 }, 72);
    expect(wrong.findings.map(f => f.code)).toEqual(['scan-density']);
    expect(wrong.result).toMatchObject({ scale_x: null, next: null, verdict: 'not known' });
  });
});

describe('a sheet that does not lie flat', () => {
  test('is found, and said to be uneven', () => {
    const { width, height, gray } = takenPicture(page.page, page.dpi, { ...PLAIN, dpi: 100 }, randomSource(3), 2);
    // Rows are moved aside by up to 0.6 mm, most in the middle, as where paper bulges.
    const bent = gray.map((_, i) => {
      const row = Math.floor(i / width);
      const moved = (i % width) - Math.round(2.4 * Math.sin((Math.PI * row) / height));
      return gray[row * width + Math.min(width - 1, Math.max(0, moved))]!;
    });
    const { result, findings } = scan({ width, height, gray: bent, density: null }, { dpi: 100 });
    expect(findings.map(f => f.code)).toEqual(['scan-uneven']);
    expect(result!.misfit_mm).toBeGreaterThan(0.1);
    expect(result!.scale_error_pct ?? 1).toBeGreaterThan(0.2);
  });
});

describe('a camera', () => {
  test('held askew finds the sheet; its scale is told where the tilt is about no axis of the sheet, else left open', () => {
    const seen = { dpi: 130, tilt: 18, turn: 40, focal: 1.1, noise: 4, jpeg: 80 };
    const picture = takenPicture(page.page, page.dpi, { ...PLAIN, ...seen, scaleX: 1.01 }, randomSource(4), 2);
    const { result, findings } = scan({ ...picture, density: null }, { dpi: 130 });
    expect(findings).toEqual([]);
    expect(Math.abs(result!.scale_x! / 1.01 - 1)).toBeLessThan((3 * result!.scale_error_pct!) / 100);
    expect(Math.abs(result!.scale_y! - 1)).toBeLessThan((3 * result!.scale_error_pct!) / 100);
    expect(Math.abs(result!.aspect! / 1.01 - 1)).toBeLessThan(0.002);
    expect((result!.tilt_deg[0] + result!.tilt_deg[1]) / 2).toBeCloseTo(18, 0);
    const about = scanned({ dpi: 110, tilt: 18 }, null);
    expect(about.findings.map(f => f.code)).toEqual(['scan-tilted']);
    expect(about.result).toMatchObject({ aspect: null, verdict: 'not known' });
  });
});

describe('what is no sheet, or another one', () => {
  const blank = (value: (i: number) => number): ScanPicture => {
    const [width, height] = [800, 1100];
    return { width, height, gray: Uint8Array.from({ length: width * height }, (_, i) => value(i)), density: null };
  };

  test('is refused: blank paper, noise, something else, half a page', () => {
    const random = randomSource(8);
    const stripes = (i: number) => (Math.floor((i % 800) / 40) % 2 ? 30 : 220);
    for (const picture of [blank(() => 240), blank(() => 255 * random.uniform()), blank(stripes)]) {
      const { result, findings } = scan(picture);
      expect(result).toBeNull();
      expect(findings.map(f => f.code)).toEqual(['scan-no-sheet']);
    }
    const half = { left: 0, top: 0, right: 800, bottom: 560 };
    const { result, findings } = scanned({ dpi: 90, crop: half });
    expect(result).toBeNull();
    expect(findings[0]!.message).toBe('there are 2 corner marks in the picture');
  });

  test('is refused where it was drawn for another recipe, and told where the recipe changed and its rings did not', async () => {
    const { recipe, digest } = await loadRecipe(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), nodeFileSystem);
    const own = gauge(recipe!, {}).result!;
    const other = scanned({ dpi: 100 });
    expect(other.result).not.toBeNull();
    const picture = takenPicture(page.page, page.dpi, { ...PLAIN, dpi: 100 }, randomSource(3), 2);
    const refused = scan({ ...picture, density: null }, { own: { recipe: recipe!, digest } });
    expect(refused.result).toBeNull();
    expect(refused.findings.map(f => f.code)).toEqual(['scan-other-recipe']);
    const pdf = await gaugePdf({ ...exampleInput(own), digest }, readFonts());
    const sheet = await drawnPage(pdf, { dpi: 110 });
    const of = (d: string) => scan({ ...sheet, density: null }, { own: { recipe: recipe!, digest: d } });
    expect(of(digest).findings).toEqual([]);
    expect(of(digest).result!.sheet.digest).toBe(digest.slice(0, 16));
    expect(of('0'.repeat(64)).findings.map(f => f.code)).toEqual(['scan-older-sheet']);
  });
});
