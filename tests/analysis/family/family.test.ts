import { describe, expect, it } from 'vitest';
import { cavity } from '../../../src/analysis/cavity/cavity.ts';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { type FamilyMember, family } from '../../../src/analysis/family/family.ts';
import { ringVolumes } from '../../../src/analysis/family/family-gauge.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { setpoint } from '../../../src/analysis/setpoint/setpoint.ts';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const mm = 1e-3;
const NARROW = { 'needle.gauge': null, 'needle.bore': 0.33 * mm, 'needle.outside': 0.64 * mm };
const WIDE = { 'needle.gauge': null, 'needle.bore': 0.41 * mm, 'needle.outside': 0.72 * mm };
/** Nothing but the station's own scatter, and a resin that does not set: every ramp is flat. */
const COUNTED = {
  'resin.rheology': { model: 'newtonian', viscosity: 2.4 },
  'resin.cure': { model: 'none' },
  'process.temperature': 296.15,
  'station.syringe.fill': 0.8e-6,
};

/** Five connectors of growing bores behind the ferrule, two of them with the narrower needle. */
function members(over: Record<string, unknown> = {}): FamilyMember[] {
  return [1.0, 1.1, 1.2, 1.3, 1.4].map((tube, i) => ({
    file: `size-${i + 1}.yaml`,
    recipe: exampleRecipe({
      ...(i < 2 ? NARROW : WIDE),
      'connector.cavity[1].diameter': [126e-6, Math.max(0.9, tube - 0.1) * mm],
      'connector.cavity[2].diameter': tube * mm,
      ...over,
    }),
  }));
}

/** The numbers of a member with one of the two needles in it. */
const withNeedleOf = (member: FamilyMember, other: FamilyMember) => ({
  ...member.recipe,
  needle: other.recipe.needle!,
});

/** Greatest of 1, 2 and 5 times a power of ten that divides a whole number. */
const roundest = (whole: number) => [500, 200, 100, 50, 20, 10, 5, 2, 1].find(unit => whole % unit === 0)!;

interface Counted {
  readonly needle: number;
  readonly kPa: number;
  readonly worst: number;
  readonly error: number;
  readonly dwells: readonly number[];
  readonly spreads: readonly number[];
  readonly practical: boolean;
}

/** The criteria one after the other, over all settings. */
function best(settings: readonly Counted[], wanted: (setting: Counted) => boolean): Counted {
  let left = settings.filter(({ error }) => error <= 1 + 1e-9);
  const good = left.filter(wanted);
  if (good.length > 0) left = good;
  const least = Math.min(...left.map(({ worst }) => worst));
  left = left.filter(({ worst }) => worst <= least * 1.001);
  const most = Math.max(...left.map(({ kPa }) => roundest(kPa)));
  left = left.filter(({ kPa }) => roundest(kPa) === most);
  return left.reduce((a, b) => (b.worst < a.worst - 1e-9 ? b : a));
}

describe('what five connectors share', () => {
  it('is what a count of every needle, pressure and dwell gives, for a Newtonian resin in ideal air that does not set', () => {
    const all = members(COUNTED);
    const settings: Counted[] = [];
    for (const needle of [0, 4]) {
      const each = all.map(member => {
        const recipe = withNeedleOf(member, all[needle]!);
        // V = G·(p − 3 kPa friction)·t: one shot tells G
        return { perKpa: shot(recipe, { pressure: 103e3, dwell: 1 }).result!.volume_uL / 100, aim: aimOf(recipe) };
      });
      for (let kPa = 10; kPa <= 550; kPa++) {
        const made = each.map(({ perKpa, aim }) => {
          const exact = aim / (perKpa * (kPa - 3));
          const error = (centi: number) => Math.abs((perKpa * (kPa - 3) * centi) / 100 / aim - 1);
          const near = [Math.floor(exact * 100), Math.floor(exact * 100) + 1].filter(centi => centi >= 5);
          const centi = near.reduce((a, b) => (error(b) < error(a) - 1e-12 ? b : a));
          // ±2 kPa and ±3 ms, two standard deviations each
          return { centi, error: error(centi) / 0.01, spread: Math.hypot(1 / (kPa - 3), 0.15 / centi) };
        });
        settings.push({
          needle,
          kPa,
          worst: Math.max(...made.map(m => m.spread)),
          error: Math.max(...made.map(m => m.error)),
          dwells: made.map(m => m.centi / 100),
          spreads: made.map(m => m.spread),
          practical: made.every(m => m.centi >= 20 && m.centi <= 400),
        });
      }
    }
    const expected = best(settings, ({ practical, kPa }) => practical && kPa >= 55 && kPa <= 495);
    const { result, findings } = family(all);
    expect(findings.flat()).toEqual([]);
    expect(result!.pressure_kPa).toBe(expected.kPa);
    expect(result!.needle).toContain(expected.needle === 0 ? '0.33 mm' : '0.41 mm');
    expect(result!.members.map(m => m.dwell_s)).toEqual(expected.dwells);
    for (const [i, member] of result!.members.entries()) {
      expect(member.spread_rel).toBeCloseTo(expected.spreads[i]!, 5); // closed form against central differences
      expect(Math.abs(member.error_pct)).toBeLessThanOrEqual(1 + 1e-9);
      expect(member.program!.worst_error_pct).toBeCloseTo(Math.abs(member.error_pct), 6);
    }
    expect(result!.worst_spread_rel).toBeCloseTo(expected.worst, 5);
  });

  it('is what `setpoint` at every pressure with every needle gives, for a resin that sets, ramps and last dwells counted', () => {
    const pressures = { min: 60e3, max: 180e3, step: 10e3, accuracy: 2e3 };
    const all = members({ 'station.pressure': pressures });
    const settings: Counted[] = [];
    for (const needle of [0, 4]) {
      for (let kPa = 60; kPa <= 180; kPa += 10) {
        const made = all.map(member => {
          const chosen = setpoint(withNeedleOf(member, all[needle]!), { pressure: kPa * 1e3 }).result;
          if (chosen === null) return null;
          const { stages, last_dwell_s, worst_error_pct } = chosen.program!;
          const keeps = worst_error_pct <= 10 && stages.length === 1;
          const inside = stages[0]!.first_dwell_s >= 0.2 && last_dwell_s <= 4;
          return { ...chosen.chosen, wanted: keeps && inside };
        });
        if (made.includes(null)) continue;
        const whole = made.map(m => m!);
        settings.push({
          needle,
          kPa,
          worst: Math.max(...whole.map(m => m.spread_rel)),
          error: Math.max(...whole.map(m => Math.abs(m.error_pct))),
          dwells: whole.map(m => m.dwell_s),
          spreads: whole.map(m => m.spread_rel),
          practical: whole.every(m => m.wanted),
        });
      }
    }
    // The band of the regulator is 18 to 162 kPa.
    const expected = best(settings, ({ practical, kPa }) => practical && kPa <= 162);
    const { result } = family(all);
    expect([result!.pressure_kPa, result!.members.map(m => m.dwell_s)]).toEqual([expected.kPa, expected.dwells]);
    expect(result!.needle).toContain(expected.needle === 0 ? '0.33 mm' : '0.41 mm');
    expect(settings.some(({ practical }) => !practical)).toBe(true);
  });

  it('has for each member the program that `ramp` gives at that pressure, and the dwell of every age as it has it', () => {
    const all = members();
    const { result } = family(all);
    for (const [i, member] of result!.members.entries()) {
      const own = { ...all[i]!.recipe, needle: all[result!.needle.includes('0.33') ? 0 : 4]!.recipe.needle! };
      const settings = { pressure: { value: result!.pressure_kPa * 1e3, path: '', source: '' } };
      const alone = ramp({ ...own, settings } as typeof own).result!;
      expect(member.program!.stages).toEqual(alone.program.stages);
      expect(member.program!.worst_error_pct).toBeCloseTo(alone.worst_error_pct, 9);
      expect(member.end).toEqual(alone.end);
      // ready after 12 min, a takt of 40 s: the age of 32 min is that of shot 31
      const at = result!.matrix.ages_min.indexOf(32);
      expect(result!.matrix.dwell_s[i]![at]).toBeCloseTo(Math.round(alone.shots[30]!.dwell_s * 100) / 100, 9);
    }
  });

  it('costs a member nothing where it is the same connector twice, and something where it is not', () => {
    const [one] = members();
    const twice = family([one!, { ...one!, file: 'again.yaml' }]).result!;
    expect(twice.cost_of_sharing.map(c => c.spread_added_rel)).toEqual([0, 0]);
    expect(twice.cost_of_sharing[0]!.alone_pressure_kPa).toBe(twice.pressure_kPa);
    // the least spread by itself is less than the shared one by more than the thousandth that counts as alike
    const costs = family(members(COUNTED)).result!.cost_of_sharing.map(c => c.spread_added_rel);
    expect(Math.max(...costs)).toBeGreaterThan(1e-5);
    expect(Math.min(...costs)).toBeGreaterThan(-1e-5);
  });
});

describe('what keeps a family from sharing', () => {
  it('is another resin, of which the keys are named, the name of the resin among them', () => {
    const [a, b] = members();
    const other = (over: Record<string, unknown>) => family([a!, { file: 'b.yaml', recipe: exampleRecipe(over) }]);
    const thick = other({ 'resin.rheology': { model: 'newtonian', viscosity: 9 }, 'resin.density': 1200 });
    expect(thick.result).toBeNull();
    expect(thick.findings[1]!.map(f => [f.code, f.message])).toEqual([
      ['family-resins', expect.stringContaining('resin.density, resin.rheology are not as in size-1.yaml')],
    ]);
    expect(other({ 'resin.name': 'Amber 41' }).findings[1]![0]!.message).toContain('resin.name is not');
    expect(family([a!, b!]).result).not.toBeNull();
  });

  it('is a needle that is too thick or too short for a member', () => {
    const all = members();
    const fat = { gauge: '14' };
    const none = family(all, { needles: [fat] });
    expect(none.result).toBeNull();
    expect(none.findings[0]!.map(f => f.code)).toContain('family-none');
    const short = family(all, { needles: [{ gauge: '23', length: 4 * mm }, { gauge: '23' }] });
    const [stub, whole] = short.result!.needles;
    expect([stub!.chosen, stub!.pressure_kPa, whole!.chosen]).toEqual([false, null, true]);
    expect(stub!.because).toHaveLength(5);
    expect(stub!.because[0]).toContain('stands out by 4 mm');
  });

  it('is warned of: a dwell step too coarse for a member, a dot that members read differently', () => {
    const said = family(members({ ...COUNTED, 'process.tolerance': 0.001 })).findings.flat();
    expect(said.map(f => f.code)).toContain('family-coarse');
    const [a] = members();
    const old = exampleRecipe({ ...NARROW, 'process.ready_after': 3000 });
    const apart = family([a!, { file: 'old.yaml', recipe: old }]).findings[0]!;
    expect(apart.map(f => f.code)).toContain('family-gauge-apart');
  });
});

describe('the gauge scale', () => {
  it('draws a volume as wide as the gauge of a member draws it, and takes the shots that the smallest dots need', () => {
    const all = members();
    const scale = family(all).result!.gauge!;
    const needed = all.map(({ recipe }) => gauge(recipe).result!.shots_per_circle);
    expect(scale.shots_per_circle).toBe(Math.max(...needed));
    for (const mark of scale.marks)
      expect([mark.min_uL < mark.aim_uL, mark.aim_uL < mark.max_uL]).toEqual([true, true]);
    const own = gauge(all[4]!.recipe, { shots: scale.shots_per_circle }).result!;
    const ring = own.rings.find(({ name }) => name === 'aim')!;
    // the same volume to four digits between two needles of one seat: the diameter goes with its cube root
    expect(scale.marks[4]!.aim_mm).toBeCloseTo(
      ring.diameter_mm * Math.cbrt(scale.marks[4]!.aim_uL / ring.volume_uL),
      2,
    );
  });

  it('has rings at round numbers around every window, far enough apart to be read', () => {
    const cap = (volume: number) => 3 * Math.cbrt(volume / 2) * mm; // about 2 µL for 3 mm
    const wide = ringVolumes(
      [
        [6.5, 16],
        [25, 63],
      ],
      cap,
    );
    expect(wide[0]!).toBeLessThanOrEqual(6.5);
    expect(wide.at(-1)!).toBeGreaterThanOrEqual(63);
    for (const [i, volume] of wide.entries()) {
      expect(Number(volume.toPrecision(2))).toBe(volume);
      if (i > 0) expect((cap(volume) - cap(wide[i - 1]!)) / 2).toBeGreaterThanOrEqual(0.35 * mm);
    }
    for (const [low, high] of [
      [6.5, 16],
      [25, 63],
    ] as const) {
      expect(wide.filter(v => v > low && v < high).length).toBeGreaterThanOrEqual(2);
    }
    // nothing finer can be told apart: one ring to either side
    expect(ringVolumes([[10, 10.001]], cap)).toEqual([10, 15]);
  });
});

/** Of the connector, with the needle of the recipe. */
const aimOf = (recipe: FamilyMember['recipe']) => cavity(recipe).result!.backfill_aim_uL!;
