import { describe, expect, it } from 'vitest';
import { batch } from '../../../src/analysis/batch/batch.ts';
import { pooledBatch } from '../../../src/analysis/batch/pooled-batch.ts';
import { type PooledMember, type PooledProblem, pooledPlan } from '../../../src/analysis/batch/pooled-plan.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const MINUTE = 60;
const HOUR = 3600;
const DAY = 24 * HOUR;

/** A member in round numbers: 1 µL a connector, 2 µL prime, ready after 10 min, at most an hour old. */
function member(count: number, over: Partial<PooledMember> & { lastAge?: number } = {}): PooledMember {
  const { lastAge = HOUR, ...rest } = over;
  const run = { prime: 2, perConnector: 1, perNeedle: Number.POSITIVE_INFINITY, readyAfter: 10 * MINUTE, lastAge };
  return { count, takt: 5 * MINUTE, run, needle: 'a', ...rest };
}
const problem = (over: Partial<PooledProblem>): PooledProblem => ({
  ...{ members: [member(3), member(3)], changeover: 10 * MINUTE, usable: 100, syringesPerKit: 1 },
  ...{ start: 8 * HOUR, shifts: [{ from: 8 * HOUR, to: 12 * HOUR }], mixing: 0 },
  ...over,
});

describe('kits that several recipes share', () => {
  it('go on through a changeover: counted out by hand', () => {
    const plan = pooledPlan(problem({}))!;
    // mixed at 8:00, first shots 8:10, 8:15, 8:20; free at 8:25, changed at 8:35, shots 8:35, 8:40, 8:45
    expect(plan).toHaveLength(1);
    expect(plan[0]).toMatchObject({ mixedAt: 8 * HOUR, done: 6, end: 8 * HOUR + 50 * MINUTE });
    expect(plan[0]!.syringes).toEqual([
      {
        parts: [
          { member: 0, connectors: 3, firstAt: 8 * HOUR + 10 * MINUTE, lastAt: 8 * HOUR + 20 * MINUTE },
          { member: 1, connectors: 3, firstAt: 8 * HOUR + 35 * MINUTE, lastAt: 8 * HOUR + 45 * MINUTE },
        ],
        ...{ needles: 1, dispensed: 2 + 6, endedBy: 'batch' },
      },
    ]);
  });

  it('are laid aside at the last age of the member in work, and when a prime for another needle does not fit', () => {
    // the second member may be used to an age of 40 min: 8:40 is its last shot
    const old = pooledPlan(problem({ members: [member(3), member(3, { lastAge: 40 * MINUTE })] }))!;
    expect(old.map(({ done }) => done)).toEqual([5, 6]);
    expect(old[0]!.syringes[0]!.endedBy).toBe('too old');
    // 2 + 3 µL, then 2 + 1 for the first of the other needle: 8 µL hold one of it, 7 hold none
    const needles = (usable: number) =>
      pooledPlan(problem({ members: [member(3), member(3, { needle: 'b' })], usable, syringesPerKit: 2 }))![0]!;
    expect(needles(8).syringes.map(({ parts }) => parts.map(p => p.connectors))).toEqual([[3, 1], [2]]);
    expect(needles(7).syringes.map(({ parts }) => parts.map(p => p.connectors))).toEqual([[3], [3]]);
    expect(needles(8).syringes[0]!.needles).toBe(2);
  });

  it('are as few, and end as early, as a search through starts at every minute finds, breaks and takts of all kinds counted', () => {
    const shifts = [
      { from: 8 * HOUR, to: 9.5 * HOUR },
      { from: 10 * HOUR, to: 11.5 * HOUR },
    ];
    let state = 12345;
    const draw = (from: number, to: number) => {
      state = (state * 1103515245 + 12345) % 2 ** 31; // a linear congruence: any will do
      return from + (state % (to - from + 1));
    };
    for (let k = 0; k < 12; k++) {
      const members = [1, 2, 3].map(() =>
        member(draw(2, 9), {
          takt: draw(2, 9) * MINUTE,
          lastAge: draw(25, 75) * MINUTE,
          needle: draw(0, 1) === 0 ? 'a' : 'b',
        }),
      );
      const given = problem({
        members,
        shifts,
        changeover: draw(0, 12) * MINUTE,
        mixing: draw(0, 8) * MINUTE,
        usable: draw(8, 20),
        syringesPerKit: draw(1, 2),
      });
      const plan = pooledPlan(given)!;
      const found = searched(given);
      expect(plan.length).toBe(found.kits);
      expect(plan.at(-1)!.end).toBeLessThanOrEqual(found.end + 1e-6);
    }
  });
});

/**
 * The fewest kits by trying every minute as the first shot of every kit, written anew: kit by kit, the most that can be done by a time is
 * all that counts, for who has done more by the same time has the less to do.
 */
function searched(p: PooledProblem): { kits: number; end: number } {
  const total = p.members.reduce((sum, { count }) => sum + count, 0);
  const order = p.members.flatMap((m, i) => Array.from({ length: m.count }, () => i));
  const inShift = (from: number, length: number) =>
    p.shifts.some(s => [0, 1, 2].some(d => from >= d * DAY + s.from && from + length <= d * DAY + s.to));
  const first = (from: number, length: number) => {
    let at = Math.ceil(from / MINUTE) * MINUTE;
    while (!inShift(at, length)) at += MINUTE;
    return at;
  };
  const mixing = (until: number) => {
    for (let at = until; at >= p.start; at -= MINUTE) if (inShift(at, p.mixing)) return at;
    return null;
  };
  const kit = (start: number, done: number): { done: number; end: number } | null => {
    const changed = done > 0 && order[done] !== order[done - 1];
    const lead = p.members[order[done]!]!;
    const from = changed ? first(start, p.changeover) + p.changeover : start;
    if (!inShift(from, lead.takt)) return null;
    const mixed = mixing(from - lead.run.readyAfter);
    if (mixed === null || from - mixed > lead.run.lastAge) return null;
    let [now, made] = [start, done];
    for (let s = 0; s < p.syringesPerKit; s++) {
      let [used, needle, any] = [0, '', false];
      for (; made < total; made++) {
        const m = p.members[order[made]!]!;
        const change = made > 0 && order[made] !== order[made - 1];
        const free = change ? first(now, p.changeover) + p.changeover : now;
        const at = first(Math.max(free, mixed + m.run.readyAfter), m.takt);
        if (at - mixed > m.run.lastAge) return { done: made, end: now };
        const more = (needle === m.needle ? 0 : m.run.prime) + m.run.perConnector;
        if (used + more > p.usable) break;
        [used, needle, any, now] = [used + more, m.needle, true, at + m.takt];
      }
      if (!any) break;
    }
    return { done: made, end: now };
  };
  let reached = [{ end: p.start, done: 0 }];
  for (let kits = 1; ; kits++) {
    const next: { end: number; done: number }[] = [];
    for (const label of reached) {
      for (let start = label.end; start < label.end + 1.2 * DAY; start += MINUTE) {
        const made = kit(start, label.done);
        if (made !== null && made.done > label.done) next.push(made);
      }
    }
    const whole = next.filter(({ done }) => done === total).map(({ end }) => end);
    if (whole.length > 0) return { kits, end: Math.min(...whole) };
    next.sort((a, b) => a.end - b.end || b.done - a.done);
    let most = -1;
    reached = next.filter(({ done }) => {
      const better = done > most;
      most = Math.max(most, done);
      return better;
    });
    if (kits > 20) throw new Error('no end');
  }
}

describe('a batch of several recipes', () => {
  const fixture = [0, 1, 2, 3, 4].map(i => ({
    file: `size-${i}.yaml`,
    recipe: exampleRecipe({
      name: `Size ${i}`,
      'connector.reach.max': (12 + i / 10) * 1e-3,
      'station.syringe.fill': 1e-6,
    }),
  }));

  it('takes one kit where each by itself takes one, and says how much less is wasted', () => {
    const { result, findings } = pooledBatch(fixture, { connectors: [6], changeover: 3 * MINUTE });
    expect(findings.flat().filter(({ severity }) => severity === 'error')).toEqual([]);
    expect([result!.kits, result!.alone!.kits]).toEqual([1, 5]);
    expect(result!.resin_used_mL + result!.resin_wasted_mL).toBeCloseTo(result!.resin_mixed_mL, 12);
    expect(result!.resin_wasted_pct).toBeLessThan(result!.alone!.resin_wasted_pct);
    expect(result!.schedule[0]!.parts.map(({ connectors }) => connectors)).toEqual([6, 6, 6, 6, 6]);
    const each = fixture.map(({ recipe }) => batch(recipe, { connectors: 6 }).result!);
    expect(result!.resin_used_mL).toBeCloseTo(
      each.reduce((sum, b) => sum + b.resin_used_mL, 0),
      12,
    );
    // 12 min to the first shot, 30 takts of 40 s, four changeovers
    const minutes = 12 + (30 * 40) / 60 + 4 * 3;
    expect(result!.finish).toBe(`00:${Math.round(minutes)}`);
  });

  it('costs what its kits, syringes and needles do, over all good connectors', () => {
    const prices = { kitPrice: 18, syringePrice: 0.5, needlePrice: 0.25, currency: 'EUR' };
    const { result } = pooledBatch(fixture, { connectors: [6], changeover: 3 * MINUTE, ...prices });
    const { kits, syringes, needles, cost } = result!;
    expect(cost).toMatchObject({ kits: 18 * kits, syringes: 0.5 * syringes, needles: 0.25 * needles, currency: 'EUR' });
    expect(cost!.per_good_connector).toBeCloseTo((18 * kits + 0.5 * syringes + 0.25 * needles) / 30, 12); // five recipes of six
    expect(pooledBatch(fixture, { connectors: [6], changeover: 0 }).result!.cost).toBeNull();
  });

  it('fills the syringe as the recipe has it with which least resin is mixed', () => {
    const two = [0.55e-6, 1.1e-6].map((fill, i) => ({
      file: `fill-${i}.yaml`,
      recipe: exampleRecipe({ 'station.syringe.fill': fill, 'resin.cure': { model: 'none' }, 'process.stop_at': null }),
    }));
    // About 2 µL a connector: 60 take 0.13 mL of the 0.25 mL that the smaller fill gives, 200 three of them or one and a half larger ones
    expect(pooledBatch(two, { connectors: [30], changeover: 0 }).result!.fill_mL).toBeCloseTo(0.55, 9);
    const many = pooledBatch(two, { connectors: [110], changeover: 0 }).result!;
    const kits = (mL: number) => many.resin_used_mL / (mL - 0.3);
    expect(many.resin_mixed_mL).toBeLessThanOrEqual(
      Math.min(Math.ceil(kits(0.54)) * 0.55, Math.ceil(kits(1.09)) * 1.1) + 1e-9,
    );
  });

  it('mixes no less than the scale keeps to the ratio', () => {
    const mixed = fixture.map(({ file, recipe }) => ({
      file,
      recipe: { ...recipe, ...exampleMix(recipe) },
    }));
    const { result } = pooledBatch(mixed, { connectors: [6], changeover: 0 });
    // 0.01 g over 5 %, 10 to 1
    expect(result!.kit_g).toBeCloseTo((0.01 / 0.05) * Math.hypot(1.1, 11), 9);
    expect(result!.syringes_per_kit).toBe(Math.floor(result!.kit_mL / result!.fill_mL));
  });

  it('refuses another resin, and a kit that one of them cannot mix', () => {
    const other = { file: 'other.yaml', recipe: exampleRecipe({ 'resin.name': 'Amber 41' }) };
    const { result, findings } = pooledBatch([fixture[0]!, other], { connectors: [6], changeover: 0 });
    expect([result, findings[1]!.map(f => f.code)]).toEqual([null, ['family-resins']]);
    const small = pooledBatch(
      fixture.map(({ file, recipe }) => ({ file, recipe: { ...recipe, ...exampleMix(recipe) } })),
      { connectors: [6], changeover: 0, kit: { kind: 'mass', value: 1e-3 } },
    );
    expect(small.findings.flat().map(f => f.code)).toContain('batch-kit-unmixable');
  });
});

/** Resin and station with a ratio of 10 to 1 and a scale of 0.01 g. */
function exampleMix(recipe: ReturnType<typeof exampleRecipe>) {
  const { resin, station } = exampleRecipe({
    'resin.mix': { base: 0.1, hardener: 0.01, tolerance: 0.05 },
    'station.scale': 1e-5,
  });
  return {
    resin: { ...recipe.resin!, mix: resin!.mix! },
    station: { ...recipe.station!, scale: station!.scale! },
  };
}
