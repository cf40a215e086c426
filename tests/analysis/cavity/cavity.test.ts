import { describe, expect, test } from 'vitest';
import { cavity } from '../../../src/analysis/cavity/cavity.ts';
import { cavityBook } from '../../../src/analysis/cavity/cavity-book.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const mm = 1e-3;
const um = 1e-6;

/** The pigtail with a needle of 0.72 mm outside, whose sums are done by hand below. */
const pigtail = (overrides: Record<string, unknown> = {}): Recipe =>
  exampleRecipe({ 'needle.outside': 0.72 * mm, ...overrides });

const cylinder = (diameter: number, length: number): number => (Math.PI / 4) * diameter ** 2 * length; // mm → µL
const cone = (a: number, b: number, length: number): number => (Math.PI / 12) * length * (a * a + a * b + b * b);

const codesOf = (recipe: Recipe): string[] => cavity(recipe).findings.map(f => f.code);
const findingOf = (recipe: Recipe, code: string) => {
  const found = cavity(recipe).findings.find(f => f.code === code);
  if (found === undefined) throw new Error(`${code} is not among ${codesOf(recipe).join(', ')}`);
  return found;
};
const resultOf = (recipe: Recipe) => {
  const { result } = cavity(recipe);
  if (result === null) throw new Error('no result');
  return result;
};

describe('the cavity of the pigtail, by hand in mm and µL', () => {
  // Bore 0.126 × 5.5, lead-in cone 0.126 to 0.9 over 0.6 (5.5 to 6.1), tube 1.1 × 7 (6.1 to 13.1).
  // Cable, 1 mm in front of the face: fibre 0.125 to 5.6, coating 0.245 to 6.6, buffer 0.9 to 26.6.
  const gross = { bore: cylinder(0.126, 5.5), cone: cone(0.126, 0.9, 0.6), tube: cylinder(1.1, 7) };
  const cable = {
    bore: cylinder(0.125, 5.5),
    cone: cylinder(0.125, 0.1) + cylinder(0.245, 0.5),
    tube: cylinder(0.245, 0.5) + cylinder(0.9, 6.5),
  };
  const { result, findings } = cavity(pigtail());

  test('has nothing to complain about', () => {
    expect(findings).toEqual([]);
  });

  test('gives gross, cable and free volume section by section', () => {
    expect(result?.sections.map(s => s.part)).toEqual(['bore', 'lead-in', 'tube']);
    for (const [i, key] of (['bore', 'cone', 'tube'] as const).entries()) {
      expect(result?.sections[i]?.gross_uL).toBeCloseTo(gross[key], 12);
      expect(result?.sections[i]?.cable_uL).toBeCloseTo(cable[key], 12);
      expect(result?.sections[i]?.free_uL).toBeCloseTo(gross[key] - cable[key], 12);
    }
    expect(result?.sections.map(s => s.to_mm)).toEqual([5.5, 6.1, 13.1].map(x => expect.closeTo(x, 12)));
    expect(result?.gross_uL).toBeCloseTo(gross.bore + gross.cone + gross.tube, 12);
    expect(result?.cable_uL).toBeCloseTo(cable.bore + cable.cone + cable.tube, 12);
    expect(result?.free_uL).toBeCloseTo((result?.gross_uL ?? 0) - (result?.cable_uL ?? 0), 12);
  });

  // Seat: the cone is 0.72 wide at 5.5 + 0.6·(0.72 − 0.126)/(0.9 − 0.126)
  const seat = 5.5 + (0.6 * 0.594) / 0.774;
  const bead = (Math.PI / 48) * 0.5 ** 3 * Math.tan(Math.PI / 6) * (3 + 1 / 3); // 60°: tan 30° squared is 1/3
  const left = cone(0.126, 0.72, seat - 5.5);

  test('finds the seat in the cone, and the bore shot to it', () => {
    expect(result?.seat_mm).toBeCloseTo(seat, 12);
    expect(result?.seat_part).toBe('lead-in');
    expect(result?.wanted_bead_uL).toBeCloseTo(bead, 12);
    expect(result?.bore_shot_uL).toBeCloseTo(gross.bore + left + bead, 12);
    expect(result?.left_behind_bore_uL).toBeCloseTo(left, 12);
  });

  // Free behind the bore: to 9 mm the cone, 0.5 of coating and 2.4 of buffer in the tube; to 12.5 mm 3.5 more of buffer
  const ring = cylinder(1.1, 1) - cylinder(0.9, 1);
  const to9 = gross.cone - cable.cone + cylinder(1.1, 0.5) - cylinder(0.245, 0.5) + 2.4 * ring;
  const to12 = to9 + 3.5 * ring;

  test('gives the backfill window and the aim midway, 3 % allowance added', () => {
    expect(result?.backfill_min_uL).toBeCloseTo((to9 - left) * 1.03, 12);
    expect(result?.backfill_max_uL).toBeCloseTo((to12 - left) * 1.03, 12);
    expect(result?.backfill_aim_uL).toBeCloseTo(((to9 + to12) / 2 - left) * 1.03, 12);
    expect(result?.reach_aim_mm).toBeCloseTo(10.75, 9); // one ring all the way: the middle by length too
    expect(result?.allowance_pct).toBe(3);
  });

  test('the fibre pushes its volume in the bore onto the face; the cap less the fibre holds it', () => {
    const final = bead + cable.bore;
    expect(result?.displaced_uL).toBeCloseTo(cable.bore, 12);
    expect(result?.final_bead_uL).toBeCloseTo(final, 12);
    const d = result?.final_bead_diameter_mm ?? 0;
    const t = Math.tan(Math.PI / 6);
    const cap = (Math.PI / 48) * d ** 3 * t * (3 + t * t);
    expect(cap - cylinder(0.125, (d / 2) * t)).toBeCloseTo(final, 12);
    expect(d).toBeGreaterThan(0.5);
    expect(d).toBeLessThan(1.25);
  });

  test('the fill curve starts at no backfill, rises throughout, and passes the window', () => {
    const curve = result?.fill_curve ?? [];
    expect(curve[0]?.backfill_uL).toBe(0);
    for (let i = 1; i < curve.length; i++) {
      expect(curve[i]?.reach_mm).toBeGreaterThan(curve[i - 1]?.reach_mm as number);
      expect(curve[i]?.backfill_uL).toBeGreaterThan(curve[i - 1]?.backfill_uL as number);
    }
    expect(curve.at(-1)?.reach_mm).toBeCloseTo(13.1, 12);
    const at9 = curve.find(p => Math.abs(p.reach_mm - 9) < 1e-9);
    expect(at9?.backfill_uL).toBeCloseTo((to9 - left) * 1.03, 12);
  });

  test('takes the outside of the gauge table where the recipe gives none', () => {
    // 22 G, 0.7176 mm outside by the published chart
    expect(resultOf(exampleRecipe()).seat_mm).toBeCloseTo(5.5 + (0.6 * (0.7176 - 0.126)) / 0.774, 9);
  });

  test('an aim given as a reach replaces the middle', () => {
    const aimed = resultOf(pigtail({ 'connector.reach.aim': 9 * mm }));
    expect(aimed.backfill_aim_uL).toBeCloseTo((to9 - left) * 1.03, 12);
    expect(aimed.reach_aim_mm).toBeCloseTo(9, 12);
  });
});

describe('the book in SI', () => {
  test('hands the sections ahead of the seat to the bore march, from the seat to the face', () => {
    const book = cavityBook(pigtail()).result;
    expect(book?.ahead?.map(f => [f.front, f.rear])).toEqual([
      [expect.closeTo(0.72 * mm, 12), 126 * um],
      [126 * um, 126 * um],
    ]);
    const filled = (book?.ahead ?? []).reduce((sum, f) => sum + cone(f.front, f.rear, f.length), 0);
    expect(filled + (book?.wantedBead?.volume ?? 0)).toBeCloseTo(book?.boreShot as number, 18);
  });
});

describe('what is wrong with a cavity is said with its place and amount', () => {
  test('cable-interference: a fibre of 130 µm in a bore of 126 µm', () => {
    const found = findingOf(pigtail({ 'connector.cable[0].diameter': 130 * um }), 'cable-interference');
    expect(found.severity).toBe('error');
    expect(found.path).toBe('connector.cable[0].diameter');
    expect(found.message).toBe(
      'fibre is thicker than bore from 0 mm to 5.5 mm behind the end face, at most by 4 µm at 0 mm',
    );
  });

  test('cable-interference: none where the two touch', () => {
    expect(codesOf(pigtail({ 'connector.cable[0].diameter': 126 * um }))).toEqual([]);
  });

  test('cable-interference: a buffer that starts too far forward meets the cone', () => {
    // without protrusion everything stands 1 mm further back; with 3 mm the buffer starts at 4.6 mm, in the bore
    const codes = codesOf(pigtail({ 'connector.protrusion': 3 * mm }));
    expect(codes.filter(code => code === 'cable-interference').length).toBeGreaterThanOrEqual(2);
  });

  test('needle-does-not-enter: 1.27 mm outside, 1.1 mm rear', () => {
    const recipe = exampleRecipe({ 'needle.gauge': '18' });
    const found = findingOf(recipe, 'needle-does-not-enter');
    expect(found).toMatchObject({ severity: 'error', path: 'needle.gauge' });
    expect(found.message).toContain('1.27 mm');
    expect(found.message).toContain('1.1 mm');
    const result = resultOf(recipe);
    expect(result.seat_mm).toBeNull();
    expect(result.bore_shot_uL).toBeNull();
    expect(result.backfill_aim_uL).toBeNull();
    expect(result.free_uL).toBeGreaterThan(0);
    expect(result.final_bead_uL).toBeGreaterThan(0);
  });

  test('needle-thinner-than-bore: a needle that passes the fibre bore, equal included', () => {
    for (const outside of [100 * um, 126 * um]) {
      const found = findingOf(
        pigtail({ 'needle.outside': outside, 'needle.bore': 60 * um }),
        'needle-thinner-than-bore',
      );
      expect(found).toMatchObject({ severity: 'error', path: 'needle.outside' });
      expect(found.message).toContain('passes the bore');
    }
  });

  test('needle-thinner-than-bore: a needle thinner outside than inside', () => {
    const found = findingOf(pigtail({ 'needle.bore': 0.8 * mm }), 'needle-thinner-than-bore');
    expect(found.message).toBe('the needle is 0.72 mm outside but 0.8 mm inside');
  });

  test('reach-beyond-cavity: 14 mm in a cavity of 13.1 mm; what can be computed is', () => {
    const recipe = pigtail({ 'connector.reach.max': 14 * mm });
    expect(findingOf(recipe, 'reach-beyond-cavity')).toMatchObject({
      severity: 'error',
      path: 'connector.reach.max',
      message: 'the reach is 14 mm, the cavity ends at 13.1 mm',
    });
    const result = resultOf(recipe);
    expect(result.backfill_max_uL).toBeNull();
    expect(result.backfill_aim_uL).toBeNull();
    expect(result.backfill_min_uL).toBeGreaterThan(0);
  });

  test('a reach just at the rear of the cavity is inside', () => {
    expect(codesOf(pigtail({ 'connector.reach.max': 13.1 * mm }))).toEqual([]);
  });

  test('aim-outside-reach', () => {
    const low = findingOf(pigtail({ 'connector.reach.aim': 8.9 * mm }), 'aim-outside-reach');
    expect(low).toMatchObject({ severity: 'error', path: 'connector.reach.aim' });
    expect(codesOf(pigtail({ 'connector.reach.aim': 12.6 * mm }))).toContain('aim-outside-reach');
    expect(codesOf(pigtail({ 'connector.reach.aim': 12.5 * mm }))).toEqual([]);
  });

  test('backfill-not-positive names what is free and what the bore shot leaves', () => {
    // to 5.8 mm the free cone, 0.126 to 0.513 over 0.3 less the cable in it, holds less than the bore shot leaves
    const recipe = pigtail({ 'connector.reach.min': 5.8 * mm });
    const free = cone(0.126, 0.513, 0.3) - cylinder(0.125, 0.1) - cylinder(0.245, 0.2);
    const left = cone(0.126, 0.72, (0.6 * 0.594) / 0.774);
    const found = findingOf(recipe, 'backfill-not-positive');
    expect(found).toMatchObject({ severity: 'error', path: 'connector.reach.min' });
    expect(found.message).toContain(`${Number(free.toPrecision(4))} µL`);
    expect(found.message).toContain(`${Number(left.toPrecision(4))} µL`);
    expect(resultOf(recipe).backfill_min_uL).toBeCloseTo((free - left) * 1.03, 12);
  });

  test('bead-over-face: the final bead is 0.88 mm wide', () => {
    expect(codesOf(pigtail({ 'connector.face': 0.9 * mm }))).toEqual([]);
    const found = findingOf(pigtail({ 'connector.face': 0.85 * mm }), 'bead-over-face');
    expect(found).toMatchObject({ severity: 'error', path: 'connector.bead.diameter' });
    expect(found.message).toContain('0.85 mm');
  });

  test('bead-smaller-than-bore', () => {
    const found = findingOf(pigtail({ 'connector.bead.diameter': 0.1 * mm }), 'bead-smaller-than-bore');
    expect(found.severity).toBe('warning');
  });

  test('cable-shorter-than-reach: a buffer that ends at 11.6 mm', () => {
    const recipe = pigtail({ 'connector.cable[2].length': 5 * mm });
    expect(findingOf(recipe, 'cable-shorter-than-reach').severity).toBe('warning');
    expect(codesOf(pigtail({ 'connector.cable[2].length': 5.9 * mm }))).toEqual([]); // ends at 12.5 mm
  });
});

describe('a recipe with blocks missing', () => {
  test('without a cavity there is an error and no result', () => {
    for (const path of ['connector', 'connector.cavity']) {
      const { result, findings } = cavity(pigtail({ [path]: null }));
      expect(result).toBeNull();
      expect(findings).toMatchObject([{ code: 'block-missing', severity: 'error', path: 'connector.cavity' }]);
    }
  });

  test('without a needle the volumes are there, the shots are not', () => {
    const recipe = exampleRecipe({ needle: null });
    expect(findingOf(recipe, 'cavity-incomplete')).toMatchObject({ severity: 'warning', path: 'needle' });
    const result = resultOf(recipe);
    expect(result.free_uL).toBeGreaterThan(0);
    expect(result.final_bead_diameter_mm).toBeGreaterThan(0);
    expect(result.seat_mm).toBeNull();
    expect(result.backfill_min_uL).toBeNull();
    expect(result.fill_curve).toEqual([]);
  });

  test('without a bead the backfill is there all the same', () => {
    const recipe = pigtail({ 'connector.bead': null });
    expect(codesOf(recipe)).toEqual(['cavity-incomplete']);
    const result = resultOf(recipe);
    expect(result.bore_shot_uL).toBeNull();
    expect(result.final_bead_uL).toBeNull();
    expect(result.backfill_aim_uL).toBe(resultOf(pigtail()).backfill_aim_uL);
  });

  test('without a cable nothing is taken for empty', () => {
    const result = resultOf(pigtail({ 'connector.cable': null }));
    expect(result.gross_uL).toBe(resultOf(pigtail()).gross_uL);
    expect(result.free_uL).toBeNull();
    expect(result.backfill_aim_uL).toBeNull();
    expect(result.bore_shot_uL).toBe(resultOf(pigtail()).bore_shot_uL);
  });

  test('without a reach the fill curve stands', () => {
    const recipe = pigtail({ 'connector.reach': null });
    expect(codesOf(recipe)).toEqual(['cavity-incomplete']);
    expect(resultOf(recipe).fill_curve.length).toBeGreaterThan(20);
    expect(resultOf(recipe).backfill_aim_uL).toBeNull();
  });

  test('a tapered tip without its outside leaves the seat open and says so', () => {
    const sections = [
      { part: 'hub', diameter: 0.84 * mm, length: 6 * mm },
      { part: 'tip', diameter: [0.84 * mm, 0.41 * mm], length: 12 * mm },
    ];
    const needle = { sections };
    expect(codesOf(exampleRecipe({ needle }))).toEqual(['needle-outside-unknown']);
    expect(codesOf(exampleRecipe({ needle: { sections, outside: 0.72 * mm } }))).toEqual([]);
  });
});

test('every number of a result is finite', () => {
  const walk = (value: unknown): void => {
    if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(walk);
  };
  for (const overrides of [{}, { needle: null }, { 'connector.cable': null }, { 'connector.reach': null }]) {
    walk(resultOf(exampleRecipe(overrides)));
  }
});

describe('twelve bores before one chamber', () => {
  // By hand in mm and µL: one bore 0.126 × 1.5 and its cone to 0.5 over 0.5, twelve times; chamber 9.4 × 0.9 × 6.
  const row = { count: 12, pitch: 0.75 * mm };
  const array = (overrides: Record<string, unknown> = {}) =>
    pigtail({
      'connector.cavity': [
        { part: 'bore', diameter: 126 * um, length: 1.5 * mm, ...row },
        { part: 'lead-in', diameter: [126 * um, 0.5 * mm], length: 0.5 * mm, ...row },
        { part: 'chamber', width: 9.4 * mm, height: 0.9 * mm, length: 6 * mm },
      ],
      'connector.cable': [
        { part: 'fibre', diameter: 125 * um, length: 3.4 * mm, ...row },
        { part: 'ribbon', width: 9.1 * mm, height: 0.4 * mm, length: 20 * mm },
      ],
      'connector.face': 10 * mm,
      'connector.bead': { diameter: 0.35 * mm, contact_angle: (60 * Math.PI) / 180 },
      'connector.reach': { min: 4.5 * mm, max: 6.5 * mm },
      ...overrides,
    });
  const one = cylinder(0.126, 1.5) + cone(0.126, 0.5, 0.5);
  const bead = (Math.PI / 48) * 0.35 ** 3 * Math.tan(Math.PI / 6) * (3 + 1 / 3);
  const result = resultOf(array());

  test('has twelve times the bore shot of one, each with its bead, and one chamber', () => {
    expect(codesOf(array())).toEqual([]);
    expect(result.beads).toBe(12);
    expect(result.bore_shot_uL).toBeCloseTo(12 * (one + bead), 12);
    expect(result.seat_mm).toBeCloseTo(2, 12);
    expect(result.seat_part).toBe('chamber');
    expect(result.displaced_uL).toBeCloseTo(12 * cylinder(0.125, 1.5), 12);
    expect(result.final_bead_uL).toBeCloseTo(bead + cylinder(0.125, 1.5), 12);
    const chamber = (reach: number) => (reach - 2) * 9.4 * 0.9 - 12 * cylinder(0.125, 0.4) - (reach - 2.4) * 9.1 * 0.4;
    const bores = 12 * (cone(0.126, 0.5, 0.5) - cylinder(0.125, 0.5));
    const left = 12 * cone(0.126, 0.5, 0.5);
    expect(result.backfill_min_uL).toBeCloseTo(1.03 * (chamber(4.5) + bores - left), 11);
    expect(result.backfill_max_uL).toBeCloseTo(1.03 * (chamber(6.5) + bores - left), 11);
    expect(
      result.sections.map(({ count, pitch_mm, width_mm, height_mm }) => [count, pitch_mm, width_mm, height_mm]),
    ).toEqual([
      [12, expect.closeTo(0.75), null, null],
      [12, expect.closeTo(0.75), null, null],
      [1, null, expect.closeTo(9.4), expect.closeTo(0.9)],
    ]);
    // What the two shots bring stands on the face and in the cavity.
    const brought = result.bore_shot_uL! + result.backfill_aim_uL! / 1.03;
    const stands =
      12 * (result.final_bead_uL! + cylinder(0.126, 1.5) - cylinder(0.125, 1.5)) +
      cavityBook(array()).result!.balance!.wanted(result.reach_aim_mm! * mm) * 1e9;
    expect(brought).toBeCloseTo(stands, 11);
  });

  test('warns where beads of neighbours meet, and where the row passes the end face', () => {
    const near = array({ 'connector.cavity[0].pitch': 0.5 * mm });
    expect(findingOf(near, 'beads-meet').message).toMatch(
      /^the final bead is 0\.\d+ mm wide, the bores stand 0\.5 mm apart$/,
    );
    const small = array({ 'connector.face': 8.4 * mm });
    expect(findingOf(small, 'bead-over-face').message).toContain('the row of 12 is');
    expect(codesOf(array({ 'connector.face': 9 * mm }))).toEqual([]);
  });

  test('leaves bores empty where fibres are fewer: their share of the final bead is that of a fibre', () => {
    const eight = resultOf(array({ 'connector.cable[0].count': 8 }));
    expect(eight.final_bead_uL).toBeCloseTo(result.final_bead_uL!, 12);
    expect(eight.displaced_uL).toBeCloseTo(8 * cylinder(0.125, 1.5), 12);
  });
});
