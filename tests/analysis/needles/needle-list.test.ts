import { describe, expect, test } from 'vitest';
import { needleList } from '../../../src/analysis/needles/needle-list.ts';

const INCH = 25.4; // [mm], exact

describe('the list of needles', () => {
  // Published tables of stainless needle tubing give inches: nominal, and ± in the last half thousandths (Needle gauge comparison chart, Wikipedia).
  test.each([
    ['18', 0.05, 0.0005, 0.033, 0.0015],
    ['20', 0.03575, 0.00025, 0.02375, 0.00075],
    ['22', 0.02825, 0.00025, 0.01625, 0.00075],
    ['23', 0.02525, 0.00025, 0.01325, 0.00075],
  ])('%s regular has the published sizes, in millimetres', (gauge, outside, outsideOff, bore, boreOff) => {
    const row = needleList([gauge]).needles.find(({ wall }) => wall === 'regular')!;
    expect(row.outside_mm).toBeCloseTo(outside * INCH, 3);
    expect(row.outside_max_mm - row.outside_min_mm).toBeCloseTo(2 * outsideOff * INCH, 3);
    expect(row.bore_mm).toBeCloseTo(bore * INCH, 3);
    expect(row.bore_max_mm! - row.bore_min_mm!).toBeCloseTo(2 * boreOff * INCH, 3);
  });

  test('has every wall of a gauge that is asked for, and nothing for one that there is not', () => {
    const rows = needleList(['30', '99']).needles;
    expect(rows.map(({ gauge, wall }) => `${gauge} ${wall}`)).toEqual(['30 regular', '30 thin', '30 extra-thin']);
    // ISO 9626:2016 gives least bores, as printed in doi 10.1208/s12249-021-01949-4, Table III; no bore follows from them
    expect(rows.map(({ minimum_bore_mm }) => minimum_bore_mm)).toEqual(
      [0.133, 0.165, 0.19].map(mm => expect.closeTo(mm, 9)),
    );
    expect(rows.slice(1).map(({ bore_mm }) => bore_mm)).toEqual([null, null]);
    expect(needleList(['99']).needles).toEqual([]);
  });

  test('has no bore as wide as its outside', () => {
    for (const row of needleList().needles) {
      for (const bore of [row.bore_max_mm, row.minimum_bore_mm])
        if (bore !== null) expect(bore).toBeLessThan(row.outside_min_mm);
    }
  });
});
