import { describe, expect, it } from 'vitest';
import { type BatchOptions, batch } from '../../../src/analysis/batch/batch.ts';
import { cavity } from '../../../src/analysis/cavity/cavity.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const minute = 60;
const hour = 3600;
const SHIFTS = [
  { from: 8 * hour, to: 12 * hour },
  { from: 12.5 * hour, to: 16.5 * hour },
];

function resultOf(options: Partial<BatchOptions> = {}, overrides: Record<string, unknown> = {}) {
  const { result, findings } = batch(exampleRecipe(overrides), { connectors: 480, ...options });
  expect(findings.filter(f => f.severity === 'error')).toEqual([]);
  return result!;
}

/** Sums of a few hundred doubles. */
const CLOSE = 9;

describe('a batch', () => {
  it('starts so many connectors that the good ones are left', () => {
    expect(resultOf({ scrap: 0.03 }).connectors_started).toBe(495); // 480/0.97 = 494.8
    expect(resultOf({ connectors: 97, scrap: 0.03 }).connectors_started).toBe(100); // 97/0.97 = 100 exactly
    expect(resultOf({ scrap: 0 }).connectors_started).toBe(480);
    // 241 assemblies of two ends are 482 connectors, 482/0.96 = 502.08
    const odd = resultOf({ connectors: 481, endsPerAssembly: 2, scrap: 0.04 });
    expect(odd).toMatchObject({ assemblies: 241, connectors_started: 503 });
  });

  it('takes as many connectors from an unbroken syringe as the ramp does', () => {
    for (const overrides of [
      {},
      { 'process.ready_after': 333, 'process.takt': 47 },
      { 'process.stop_at': { age: 55 * minute } },
      { 'station.dwell.max': 0.7, 'process.stop_at': null },
      { 'station.syringe.fill': 0.4e-6 },
      { 'station.syringe.fill': 0.4e-6, 'resin.cure': { model: 'none' }, 'process.stop_at': null },
    ]) {
      const end = ramp(exampleRecipe(overrides)).result!.end;
      const { schedule } = resultOf({ connectors: 300 }, overrides);
      const whole = schedule[0]!;
      expect(whole.connectors).toBe(end.shot);
      expect(whole.last_age_min).toBeCloseTo(end.age_min, CLOSE);
      expect(whole.ended_by).toBe(end.reason === 'syringe' ? 'empty' : end.reason);
    }
  });

  it('keeps the book: what is mixed is in connectors or wasted, and every waste has its place', () => {
    for (const options of [
      {},
      { kit: { kind: 'mass', value: 20e-3 }, mixingLoss: { kind: 'volume', value: 0.4e-6 } },
      { kit: { kind: 'volume', value: 4e-6 }, mixingLoss: { kind: 'share', value: 0.05 }, needleLife: 40 },
      { mixingLoss: { kind: 'share', value: 0.1 }, stations: 2, shifts: SHIFTS },
    ] satisfies Partial<BatchOptions>[]) {
      const r = resultOf(options, { 'station.syringe.fill': 1e-6 });
      const book = cavity(exampleRecipe()).result!;
      const perConnector = book.bore_shot_uL! + book.backfill_aim_uL!;
      expect(r.per_connector_uL).toBeCloseTo(perConnector, CLOSE);
      expect(r.resin_used_mL).toBeCloseTo((480 * perConnector) / 1000, CLOSE);
      expect(r.resin_used_mL + r.resin_wasted_mL).toBeCloseTo(r.kits * r.kit_mL, CLOSE);
      expect(r.resin_wasted_pct).toBeCloseTo((100 * r.resin_wasted_mL) / (r.kits * r.kit_mL), CLOSE);
      expect(Object.values(r.waste).reduce((a, b) => a + b)).toBeCloseTo(r.resin_wasted_mL, CLOSE);
      for (const part of Object.values(r.waste)) expect(part).toBeGreaterThanOrEqual(0);
      expect(r.resin_wasted_mg! / r.resin_wasted_mL).toBeCloseTo(1150, 6); // 1.15 g/mL
      expect(r.schedule.reduce((sum, s) => sum + s.connectors, 0)).toBe(480);
      expect(r.schedule).toHaveLength(r.syringes);
      expect(r.mixes.flatMap(m => m.for_syringes)).toEqual(r.schedule.map(s => s.syringe));
      for (const s of r.schedule) {
        expect(s.dispensed_mL).toBeLessThanOrEqual(r.fill_mL - 0.3 + 1e-9); // 0.3 mL stay in the barrel
        expect(s.wasted_mL).toBeCloseTo(r.fill_mL - (s.connectors * perConnector) / 1000, CLOSE);
      }
    }
  });

  it('works out kits of a mass, what mixing leaves, and the syringes they fill', () => {
    // 20 g / 1.15 g/mL = 17.391 mL, less 0.4 mL: three fills of 5 mL and 1.991 mL over
    const r = resultOf({ kit: { kind: 'mass', value: 20e-3 }, mixingLoss: { kind: 'volume', value: 0.4e-6 } });
    expect(r.kit_mL).toBeCloseTo(20 / 1.15, CLOSE);
    expect(r.syringes_per_kit).toBe(3);
    // without a kit, what fills a syringe: (5 mL + loss)
    expect(resultOf({ mixingLoss: { kind: 'volume', value: 0.4e-6 } }).kit_mL).toBeCloseTo(5.4, CLOSE);
    expect(resultOf({ mixingLoss: { kind: 'share', value: 0.2 } }).kit_mL).toBeCloseTo(6.25, CLOSE);
    // a kit smaller than a fill is one part fill
    const small = resultOf({ kit: { kind: 'volume', value: 2e-6 }, mixingLoss: { kind: 'volume', value: 0.5e-6 } });
    expect(small).toMatchObject({ syringes_per_kit: 1 });
    expect(small.fill_mL).toBeCloseTo(1.5, CLOSE);
  });

  it('gives every syringe a fresh needle, and another after its life, each with its prime', () => {
    expect(resultOf().needles).toBe(resultOf().syringes);
    // 40 shots less 3 of prime are 18 connectors of two shots; 73 connectors (48 min at 40 s) need 5 needles, the last 42 three
    const r = resultOf({ needleLife: 40 });
    expect(r.schedule.map(s => s.connectors)).toEqual([73, 73, 73, 73, 73, 73, 42]);
    expect(r.schedule.map(s => s.needles)).toEqual([5, 5, 5, 5, 5, 5, 3]);
    const aim = cavity(exampleRecipe()).result!.backfill_aim_uL!;
    expect(r.waste.prime_mL).toBeCloseTo((33 * 3 * aim) / 1000, CLOSE);
  });

  it('plans around breaks, and says what ended each syringe', () => {
    const r = resultOf({ shifts: SHIFTS, scrap: 0.03 });
    // By hand: from 12 to 60 min after mixing a kit makes 73 connectors, 48 min 40 s. 495 need 7 kits, which have 16 to spare.
    // A fifth before lunch would make 50 only (11:26:40 to 12:00) and lose 23, one mixed by noon is 35 min old at 12:30 and
    // loses 35: the station waits.
    expect(r.schedule.map(s => [s.mixed_at, s.first_at, s.last_at, s.ended_by])).toEqual([
      ['08:00', '08:12', '09:00', 'viscosity_factor'],
      ['08:49', '09:01', '09:49', 'viscosity_factor'],
      ['09:37', '09:49', '10:37', 'viscosity_factor'],
      ['10:26', '10:38', '11:26', 'viscosity_factor'],
      ['12:30', '12:42', '13:30', 'viscosity_factor'],
      ['13:19', '13:31', '14:19', 'viscosity_factor'],
      ['14:07', '14:19', '14:57', 'batch'],
    ]);
    expect(r).toMatchObject({ start: '08:00', finish: '14:57', finish_day: 1, kits: 7 });
    // not waiting: 4·73 + 50 by noon, the other 153 from 12:30 to 14:12 in 38 + 73 + 42; mixed from 11:55 to 12:00, the first is 35 min old at 12:30
    expect(r.fastest).toMatchObject({ kits: 8, finish: '14:12' });
    const quick = resultOf({ shifts: SHIFTS, scrap: 0.03, prefer: 'finish' });
    expect(quick.schedule.map(s => s.connectors)).toEqual([73, 73, 73, 73, 50, 38, 73, 42]);
    expect(quick.schedule[4]!.ended_by).toBe('break');
  });

  it('goes on for as many days as it takes', () => {
    const r = resultOf({ connectors: 1500, shifts: SHIFTS });
    expect(r.finish_day).toBe(3);
    for (const mix of r.mixes) {
      const inDay = mix.at_min % 1440;
      expect((inDay >= 480 && inDay <= 720) || (inDay >= 750 && inDay <= 990)).toBe(true);
    }
  });

  it('adds up what has a price', () => {
    const r = resultOf({ kitPrice: 18, syringePrice: 0.9, needlePrice: 0.4, currency: 'EUR' });
    expect(r.cost).toEqual({
      ...{ kits: 126, syringes: 6.3, needles: expect.closeTo(2.8, 12), total: expect.closeTo(135.1, 12) },
      ...{ per_good_connector: expect.closeTo(135.1 / 480, 12), currency: 'EUR' },
    });
    expect(resultOf({ kitPrice: 2 }).cost).toMatchObject({ kits: 14, syringes: null, needles: null, total: 14 });
    expect(resultOf().cost).toBeNull();
  });

  it('says how little a fill would do', () => {
    const r = resultOf();
    const most = Math.max(...r.schedule.map(s => s.dispensed_mL));
    expect(r.least_fill_mL).toBeCloseTo(most + 0.3, CLOSE);
    const less = resultOf({}, { 'station.syringe.fill': r.least_fill_mL * 1e-6 });
    expect(less.schedule.map(s => s.connectors)).toEqual(r.schedule.map(s => s.connectors));
    expect(less.resin_wasted_mL).toBeLessThan(r.resin_wasted_mL / 5);
  });
});

describe('a batch that cannot be', () => {
  const codes = (options: Partial<BatchOptions>, overrides: Record<string, unknown> = {}) =>
    batch(exampleRecipe(overrides), { connectors: 10, ...options })
      .findings.filter(f => f.severity === 'error')
      .map(f => f.code);

  it.each([
    ['no connectors', { connectors: 0 }],
    ['half a connector', { connectors: 1.5 }],
    ['all of it scrap', { scrap: 1 }],
    ['a loss of all', { mixingLoss: { kind: 'share', value: 1 } }],
    ['no station', { stations: 0 }],
    ['overlapping shifts', { shifts: [SHIFTS[0]!, SHIFTS[0]!] }],
  ] satisfies [string, Partial<BatchOptions>][])('%s', (_, options) => {
    expect(codes(options)).toContain('batch-option');
  });

  it('names all wrong options at once', () => {
    expect(codes({ connectors: 0, scrap: 2, stations: 0 })).toEqual(['batch-option', 'batch-option', 'batch-option']);
  });

  it('finds kits and syringes that are too small', () => {
    const loss = { kind: 'volume', value: 2e-6 } as const;
    expect(codes({ kit: { kind: 'volume', value: 1e-6 }, mixingLoss: loss })).toEqual(['batch-kit-small']);
    expect(codes({ needleLife: 4 })).toEqual(['batch-syringe-small']); // three of prime leave one shot
    // 0.301 mL less 0.3 mL left over are less than a prime of three shots of 1.86 µL each
    expect(codes({}, { 'station.syringe.fill': 0.301e-6 })).toEqual(['ramp-no-shot']);
  });

  it('finds working hours in which no kit is ready', () => {
    const shifts = [{ from: 8 * hour, to: 8 * hour + 10 * minute }];
    expect(codes({ shifts })).toEqual(['batch-no-time']);
  });

  it('asks for the blocks it needs, all at once', () => {
    const { findings, result } = batch(
      exampleRecipe({ 'station.syringe': null, 'process.takt': null, 'resin.density': null }),
      {
        connectors: 10,
        kit: { kind: 'mass', value: 0.02 },
      },
    );
    expect(result).toBeNull();
    expect(findings.map(f => f.path)).toEqual(['station.syringe', 'process.takt', 'resin.density']);
  });
});
