import { describe, expect, it } from 'vitest';
import { findNeedle, needleTable } from '../../../src/physics/flow/needle-table.ts';

const INCH = 0.0254; // [m]
const regular = needleTable.filter(row => row.wall === 'regular');
const plain = regular.filter(row => /^\d+$/.test(row.gauge)); // without 22s and 26s

describe('the needle table', () => {
  it('holds every gauge from 7 to 34, and two with a small bore', () => {
    const gauges = Array.from({ length: 28 }, (_, i) => String(7 + i));
    expect(plain.map(row => row.gauge)).toEqual(gauges);
    expect(regular.filter(row => !plain.includes(row)).map(row => row.gauge)).toEqual(['22s', '26s']);
  });

  // READ from the regular-wall chart: nominal inches and tolerances in inches of a few rows
  it.each([
    ['7', 0.18, 0.15, 0.001, 0.003],
    ['18', 0.05, 0.033, 0.0005, 0.0015],
    ['22', 0.02825, 0.01625, 0.00025, 0.00075],
    ['22s', 0.02825, 0.006, 0.00025, 0.00075],
    ['25', 0.02025, 0.01025, 0.00025, 0.00075],
    ['30', 0.01225, 0.00625, 0.00025, 0.00075],
  ])('has the chart’s inches for %s G', (gauge, outside, bore, outsideTolerance, boreTolerance) => {
    const row = findNeedle(gauge)!;
    const near = (value: number, inches: number) => expect(Math.abs(value - inches * INCH)).toBeLessThan(0.051e-6); // 0.1 µm
    near(row.outside.nominal, outside);
    near(row.outside.min, outside - outsideTolerance);
    near(row.outside.max, outside + outsideTolerance);
    near(row.bore!.nominal, bore);
    near(row.bore!.min, bore - boreTolerance);
    near(row.bore!.max, bore + boreTolerance);
    expect(row.status).toBe('published');
  });

  it('has walls that are whole steps of 0.0005 in, as the chart gives them: outside − 2·wall = inside', () => {
    for (const row of plain) {
      const wall = (row.outside.nominal - row.bore!.nominal) / 2 / INCH;
      expect(Math.abs(wall / 0.0005 - Math.round(wall / 0.0005)), row.gauge).toBeLessThan(0.01); // rounding to 0.1 µm
      expect(wall).toBeGreaterThan(0.0019);
    }
  });

  it('gets no wider with the gauge, outside always thinner', () => {
    for (let i = 1; i < plain.length; i++) {
      expect(plain[i]!.outside.nominal, plain[i]!.gauge).toBeLessThan(plain[i - 1]!.outside.nominal);
      expect(plain[i]!.bore!.nominal, plain[i]!.gauge).toBeLessThanOrEqual(plain[i - 1]!.bore!.nominal);
    }
  });

  it('has tolerances around every nominal, and a bore that fits inside', () => {
    for (const { outside, bore, gauge } of regular) {
      for (const range of [outside, bore!]) {
        expect(range.min, gauge).toBeLessThan(range.nominal);
        expect(range.max, gauge).toBeGreaterThan(range.nominal);
        const skew = range.max + range.min - 2 * range.nominal;
        expect(Math.abs(skew), gauge).toBeLessThan(0.21e-6); // three figures rounded to 0.1 µm
      }
      expect(bore!.max, gauge).toBeLessThan(outside.min);
    }
  });

  it('says which rows are from memory', () => {
    const memory = needleTable.filter(row => row.status === 'from memory').map(row => row.gauge);
    expect(memory).toEqual(['32', '33', '34']);
    for (const row of needleTable) expect(row.source.length).toBeGreaterThan(20);
  });

  // Limits of the outside in ISO 9626 for the metric size of the gauge [mm], from memory
  it.each([
    ['14', 1.95, 2.15],
    ['18', 1.2, 1.3],
    ['22', 0.698, 0.73],
    ['25', 0.5, 0.53],
    ['30', 0.298, 0.32],
    ['32', 0.229, 0.241],
  ])('has an outside within ISO 9626 for %s G', (gauge, min, max) => {
    const { outside } = findNeedle(gauge)!;
    expect(outside.nominal).toBeGreaterThan(min * 1e-3);
    expect(outside.nominal).toBeLessThan(max * 1e-3);
  });

  it('keeps the chart’s smallest bore above the minimum of ISO 9626, to the rounding of both', () => {
    for (const gauge of ['30', '32']) {
      const row = findNeedle(gauge)!;
      expect(row.bore!.min).toBeGreaterThan(row.minimumBore! - 0.2e-6);
    }
  });
});

describe('findNeedle', () => {
  it('has no bore for thin walls, but the outside, and the minimum bore where it was published', () => {
    // READ: ISO 9626:2016 as printed in doi 10.1208/s12249-021-01949-4, table III
    const rows = (['thin', 'extra-thin'] as const).flatMap(wall => ['30', '32'].map(gauge => findNeedle(gauge, wall)!));
    expect(rows.map(row => row.minimumBore)).toEqual([0.165e-3, 0.105e-3, 0.19e-3, 0.125e-3]);
    for (const row of rows) {
      expect(row.bore).toBeNull();
      expect(row.outside).toEqual(findNeedle(row.gauge)!.outside);
      expect(row.source).toContain('ISO 9626');
    }
  });

  it('gives the outside alone for a wall class of which nothing is known', () => {
    const row = findNeedle('20', 'extra-thin')!;
    expect(row).toMatchObject({ gauge: '20', wall: 'extra-thin', bore: null, minimumBore: null });
    expect(row.outside).toEqual(findNeedle('20')!.outside);
    expect(needleTable).not.toContain(row);
  });

  it('gives null for a gauge that is not in the chart', () => {
    for (const gauge of ['6', '35', '22S', '', '22 ']) expect(findNeedle(gauge)).toBeNull();
  });
});
