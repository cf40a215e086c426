import { describe, expect, it } from 'vitest';
import type { CavityResult } from '../../../src/analysis/cavity/cavity.ts';
import { renderCavity } from '../../../src/report/text/render-cavity.ts';
import { styleOf } from '../../../src/report/words/style.ts';

const view = { style: styleOf(0), columns: 80 };

const PLAIN = { count: 1, pitch_mm: null, width_mm: null, height_mm: null };

const result: CavityResult = {
  sections: [
    { part: 'bore', from_mm: 0, to_mm: 5.5, gross_uL: 0.068581, cable_uL: 0.067497, free_uL: 0.001084, ...PLAIN },
    { part: 'tube', from_mm: 5.5, to_mm: 13.1, gross_uL: 6.8221, cable_uL: 3.9012, free_uL: 2.9209, ...PLAIN },
  ],
  gross_uL: 6.8907,
  cable_uL: 3.9687,
  free_uL: 2.922,
  needle_outside_mm: 0.72,
  seat_mm: 5.9612,
  seat_part: 'lead-in',
  wanted_bead_uL: 0.019,
  bore_shot_uL: 0.1234,
  displaced_uL: 0.0675,
  left_behind_bore_uL: 0.02,
  allowance_pct: 3,
  reach_min_mm: 9,
  reach_aim_mm: 10.8,
  reach_max_mm: 12.5,
  backfill_min_uL: 0.9,
  backfill_aim_uL: 1.6,
  backfill_max_uL: 2.3,
  final_bead_uL: 0.0865,
  final_bead_diameter_mm: 0.71,
  face_mm: 1.25,
  needle: { needed_mm: 7.1, exposed_mm: 12.7, clear_mm: 5.6 },
  capacity_with_needle_uL: 3.9,
  beads: 1,
  defaults: [],
  fill_curve: Array.from({ length: 31 }, (_, i) => ({ reach_mm: 6 + i * 0.25, backfill_uL: i * 0.1 })).concat({
    reach_mm: 13.6,
    backfill_uL: 3.05,
  }),
};

describe('the cavity as text', () => {
  const text = renderCavity(result, view);

  it('has a row for every section and one for all', () => {
    expect(text).toMatch(/bore\s+0\s+5\.50\s+0\.0686\s+0\.0675\s+0\.00108\n/);
    expect(text).toMatch(/all\s+6\.89\s+3\.97\s+2\.92\n/);
  });

  it('says window, aim, seat and final bead', () => {
    expect(text).toContain('needle seats     5.96 mm behind the end face, in lead-in');
    expect(text).toContain('backfill, least  0.900 µL, reaches 9.00 mm');
    expect(text).toContain('final bead       0.0865 µL, 0.710 mm across on a face of 1.25 mm');
  });

  it('names rows and rectangles, and counts the beads', () => {
    const [bore, tube] = result.sections;
    const row = { ...bore!, count: 12, pitch_mm: 0.75 };
    const flat = { ...tube!, part: 'chamber', width_mm: 9.4, height_mm: 0.9 };
    const several = renderCavity({ ...result, sections: [row, flat], beads: 12 }, view);
    expect(several).toMatch(/^bore, 12 side by side +0 +5\.50/m);
    expect(several).toMatch(/^chamber, 9\.40 × 0\.900 mm +5\.50/m);
    expect(several).toContain('final bead       12 of 0.0865 µL, 0.710 mm across');
    for (const line of several.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('says at its end what was taken by default', () => {
    const text = renderCavity({ ...result, defaults: ['connector.protrusion: 0 mm'] }, view);
    expect(text).toMatch(/\n\nTaken by default: connector\.protrusion: 0 mm\.$/);
  });

  it('shows few points of the fill curve, with the ends and the marked ones', () => {
    const rows = text.split('\n').slice(text.split('\n').findIndex(line => line.includes('reach mm')) + 2);
    expect(rows.length).toBeLessThan(14);
    expect(rows[0]).toMatch(/^ *6\.00 +0$/);
    expect(rows.at(-1)).toMatch(/^ *13\.6 +3\.05$/);
    expect(rows.filter(row => /least|most/.test(row))).toHaveLength(2);
  });

  it('leaves out what does not apply', () => {
    const bare = { ...result, seat_mm: null, seat_part: null, backfill_min_uL: null, fill_curve: [] };
    expect(renderCavity(bare, view)).not.toMatch(/seats|least|reach mm/);
  });

  it('fits the line', () => {
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });
});
