import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { type BoreFillInput, boreFill, stackVolume } from '../../../src/physics/cavity/bore-fill.ts';
import { matchedNeedle } from '../../../src/physics/cavity/matched-needle.ts';
import { needleFlow, needlePressureDrop } from '../../../src/physics/flow/needle-flow.ts';
import type { Rheology } from '../../../src/physics/rheology/rheology.ts';
import { MODELS } from '../flow/flow-models.ts';
import { wallStressForFlow } from '../flow/wall-stress-for-flow.ts';

const off = (a: number | null, b: number) => Math.abs((a ?? Number.NaN) / b - 1);

/** 22 G by 12.7 mm; a bore of 126 µm by 5.5 mm. */
const NEEDLE = { sections: [{ front: 0.41e-3, rear: 0.41e-3, length: 12.7e-3 }] };
const BORE = { front: 126e-6, rear: 126e-6, length: 5.5e-3 };
const LEAD_IN = { front: 126e-6, rear: 0.7e-3, length: 0.5e-3 };
const P = 210e3;
const MU = 2.4;
const NEWTONIAN: Rheology = { model: 'newtonian', viscosity: MU };
const base: BoreFillInput = { needle: NEEDLE, rheology: NEWTONIAN, cavity: [BORE], netPressure: P, wantedBead: 20e-12 };

/** Resistance of the needle by hand: Hagen–Poiseuille over a length with 3π/16 of the radius added. */
const R_NEEDLE = (128 * MU * (12.7e-3 + ((3 * Math.PI) / 16) * 0.205e-3)) / (Math.PI * 0.41e-3 ** 4);
const R_PER_LENGTH = (128 * MU) / (Math.PI * 126e-6 ** 4);
const AREA = (Math.PI / 4) * 126e-6 ** 2;

describe('boreFill, Newtonian', () => {
  it('fills one cylinder in (A/ΔP)(Rₙ·x + ½·r_b·x²), then grows the bead at the series flow', () => {
    const fill = boreFill(base);
    const x = 5.5e-3;
    const time = (AREA / P) * (R_NEEDLE * x + (R_PER_LENGTH * x * x) / 2);
    const flow = P / (R_NEEDLE + R_PER_LENGTH * x);
    expect(off(fill.timeToBead, time)).toBeLessThan(1e-12);
    expect(off(fill.beadFlow, flow)).toBeLessThan(1e-12);
    expect(off(fill.timeToWantedBead, time + 20e-12 / flow)).toBeLessThan(1e-12);
    expect(off(fill.needleShare, R_NEEDLE / (R_NEEDLE + R_PER_LENGTH * x))).toBeLessThan(1e-12);
    expect(fill.beadVolumeAt(time * 0.999)).toBeNull();
    expect(off(fill.beadVolumeAt(2 * time), flow * time)).toBeLessThan(1e-9);
    expect(fill.stoppedAt).toBeNull();
  });

  it('fills a cone in its closed form before the bore', () => {
    // ∫ A·R dx over a cone from D to d, k = (D − d)/L: (32μ/(3k²))·[ln(D/d) − (1 − d³/D³)/3], by hand from the integral
    const [D, d, L] = [0.7e-3, 126e-6, 0.5e-3];
    const k = (D - d) / L;
    const own = ((32 * MU) / (3 * k * k)) * (Math.log(D / d) - (1 - (d / D) ** 3) / 3);
    const volume = (Math.PI / 12) * L * (D * D + D * d + d * d);
    const cone = (128 * MU * L * (D * D + D * d + d * d)) / (3 * Math.PI * D ** 3 * d ** 3);
    const x = 5.5e-3;
    const time = (R_NEEDLE * volume + own) / P + (AREA / P) * ((R_NEEDLE + cone) * x + (R_PER_LENGTH * x * x) / 2);
    expect(off(boreFill({ ...base, cavity: [BORE, LEAD_IN] }).timeToBead, time)).toBeLessThan(1e-11);
  });

  it('takes a cone of two diameters that differ in the last digit for the cylinder that it is', () => {
    const nearly = { ...BORE, rear: BORE.front * (1 + Number.EPSILON) };
    expect(off(boreFill({ ...base, cavity: [nearly] }).timeToBead, boreFill(base).timeToBead!)).toBeLessThan(1e-12);
  });

  it('scales with viscosity over pressure', () => {
    const one = boreFill(base).timeToBead!;
    const rheology: Rheology = { model: 'newtonian', viscosity: 2 * MU };
    expect(off(boreFill({ ...base, rheology }).timeToBead, 2 * one)).toBeLessThan(1e-13);
    expect(off(boreFill({ ...base, netPressure: 2 * P }).timeToBead, one / 2)).toBeLessThan(1e-13);
  });

  it('is helped by the capillary up to the end face, not beyond', () => {
    const wetting = { ...base, surfaceTension: 42e-3, contactAngle: Math.PI / 6 };
    const help = (4 * 42e-3 * Math.cos(Math.PI / 6)) / 126e-6; // 1155 Pa
    const fill = boreFill(wetting);
    expect(off(fill.timeToBead, (boreFill(base).timeToBead! * P) / (P + help))).toBeLessThan(1e-12);
    expect(fill.beadFlow).toBe(boreFill(base).beadFlow);
    // alone it fills the bore too, but no bead grows
    const alone = boreFill({ ...wetting, netPressure: 0 });
    expect(off(alone.timeToBead, (boreFill(base).timeToBead! * P) / help)).toBeLessThan(1e-12);
    expect(alone).toMatchObject({ timeToWantedBead: null, beadFlow: 0, stoppedAt: 0, needleShare: null });
  });

  it('is held back where the resin does not wet: no times, and the place', () => {
    const shy = { ...base, surfaceTension: 42e-3, contactAngle: (2 * Math.PI) / 3, netPressure: 500 };
    // 4·0.042·cos 120°/126 µm = −667 Pa; in the lead-in 500 Pa hold until d = 4·0.042·0.5/500 = 168 µm
    expect(boreFill({ ...shy, cavity: [BORE] })).toMatchObject({ timeToBead: null, stoppedAt: 5.5e-3 });
    const place = boreFill({ ...shy, cavity: [BORE, LEAD_IN] }).stoppedAt!;
    expect(off(place, 5.5e-3 + (0.5e-3 * (168 - 126)) / (700 - 126))).toBeLessThan(1e-9);
  });
});

/** Front moved in small steps by the midpoint rule; the flow at each found by bisection on public pressure drops. */
function marched(input: BoreFillInput, steps: number): number {
  const help = 4 * (input.surfaceTension ?? 0) * Math.cos(input.contactAngle ?? Math.PI / 2);
  const drop = (flow: number, cones: readonly { front: number; rear: number; length: number }[]) => {
    let sum = needlePressureDrop({ ...input.needle, rheology: input.rheology, flow });
    for (const { front, rear, length } of cones) {
      const slices = front === rear ? 1 : 200;
      for (let i = 0; i < slices; i++) {
        const radius = (rear + ((front - rear) * (i + 0.5)) / slices) / 2;
        sum += (2 * (length / slices) * wallStressForFlow({ rheology: input.rheology, radius, flow })) / radius;
      }
    }
    return sum;
  };
  const flowAt = (pressure: number, cones: readonly { front: number; rear: number; length: number }[]) => {
    let [low, high] = [Math.log(1e-16), Math.log(1e-6)];
    for (let i = 0; i < 50; i++) {
      const middle = (low + high) / 2;
      if (drop(Math.exp(middle), cones) < pressure) low = middle;
      else high = middle;
    }
    return Math.exp(low);
  };
  let time = 0;
  const filled: { front: number; rear: number; length: number }[] = [];
  for (const cone of [...input.cavity].reverse()) {
    const h = cone.length / steps;
    for (let i = 0; i < steps; i++) {
      const x = (i + 0.5) * h;
      const d = cone.rear + ((cone.front - cone.rear) * x) / cone.length;
      const flow = flowAt(input.netPressure + help / d, [...filled, { front: d, rear: cone.rear, length: x }]);
      time += ((Math.PI / 4) * d * d * h) / flow;
    }
    filled.push(cone);
  }
  return time;
}

const RESINS: [string, Rheology][] = [
  ['power law', { model: 'power-law', consistency: 9.5, flowIndex: 0.71 }],
  ['Herschel–Bulkley', { model: 'herschel-bulkley', yieldStress: 85, consistency: 14, flowIndex: 0.62 }],
  ['Bingham', { model: 'bingham', yieldStress: 60, viscosity: 2.2 }],
  ['Cross', { model: 'cross', zero: 12, infinity: 0.8, time: 0.05, m: 0.8 }],
];

describe('boreFill, any resin', () => {
  it.each(RESINS)('fills one cylinder with a %s resin in the time of a fine march', (_name, rheology) => {
    const input = { ...base, rheology, surfaceTension: 42e-3, contactAngle: 0.6 };
    // The midpoint rule with 120 steps is good for about 1e-5, since dt/dx is nearly straight.
    expect(off(boreFill(input).timeToBead, marched(input, 120))).toBeLessThan(2e-5);
  });

  it('fills a cone and a cylinder in the time of a fine march', () => {
    const input = { ...base, rheology: RESINS[1]![1], cavity: [BORE, { ...LEAD_IN, rear: 0.3e-3 }] };
    expect(off(boreFill(input).timeToBead, marched(input, 40))).toBeLessThan(2e-4); // slices and steps of the cone
  });

  it('tends to the Newtonian closed form for a flow index of nearly one', () => {
    const nearly: Rheology = { model: 'power-law', consistency: MU, flowIndex: 1 - 1e-10 };
    const input = { ...base, cavity: [BORE, LEAD_IN], surfaceTension: 42e-3, contactAngle: 0.5 };
    // 1e-10 in the index moves K·γ̇ⁿ by 1e-10·ln γ̇, below 1e-9
    expect(off(boreFill({ ...input, rheology: nearly }).timeToBead, boreFill(input).timeToBead!)).toBeLessThan(2e-9);
  });

  it('gives the bead the series flow', () => {
    const rheology = RESINS[3]![1];
    const fill = boreFill({ ...base, rheology });
    const needle = needlePressureDrop({ ...NEEDLE, rheology, flow: fill.beadFlow });
    const wall = wallStressForFlow({ rheology, radius: 63e-6, flow: fill.beadFlow });
    expect(off(needle + (2 * 5.5e-3 * wall) / 63e-6, P)).toBeLessThan(1e-9);
    expect(off(fill.needleShare, needle / P)).toBeLessThan(1e-9);
  });
});

describe.each(Object.entries(MODELS))('boreFill, %s', (_, rheology) => {
  const narrowing = { front: 126e-6, rear: 0.3e-3, length: 2e-3 };
  it.each([0, 0.6, Math.PI / 2])(
    'with a contact angle of %s is done by its bound, and not long before',
    contactAngle => {
      for (const cavity of [[BORE], [BORE, LEAD_IN], [narrowing, LEAD_IN], [{ ...BORE, count: 12 }, LEAD_IN]]) {
        const fill = boreFill({ ...base, rheology, cavity, surfaceTension: 0.04, contactAngle, netPressure: 550e3 });
        expect(fill.wantedBeadBy).toBeGreaterThanOrEqual(fill.timeToWantedBead!);
        expect(fill.wantedBeadBy).toBeLessThan(100 * fill.timeToWantedBead!);
      }
    },
  );

  it('has no bound where the resin does not wet', () => {
    const shy = { ...base, rheology, surfaceTension: 0.04, contactAngle: 2, netPressure: 550e3 };
    expect(boreFill(shy).wantedBeadBy).toBeNull();
  });
});

describe('boreFill, several passages side by side', () => {
  const row = (cavity: BoreFillInput['cavity'], count: number) => cavity.map(one => ({ ...one, count }));

  it('fills twelve cylinders in (12·A/ΔP)(Rₙ·x + ½·(r_b/12)·x²), then grows twelve beads at the series flow', () => {
    const fill = boreFill({ ...base, cavity: row([BORE], 12), wantedBead: 12 * 20e-12 });
    const x = 5.5e-3;
    const time = ((12 * AREA) / P) * (R_NEEDLE * x + ((R_PER_LENGTH / 12) * x * x) / 2);
    const flow = P / (R_NEEDLE + (R_PER_LENGTH * x) / 12);
    expect(off(fill.timeToBead, time)).toBeLessThan(1e-12);
    expect(off(fill.beadFlow, flow)).toBeLessThan(1e-12);
    expect(off(fill.timeToWantedBead, time + (12 * 20e-12) / flow)).toBeLessThan(1e-12);
    expect(off(stackVolume(row([BORE, LEAD_IN], 12)), 12 * stackVolume([BORE, LEAD_IN]))).toBeLessThan(1e-15);
  });

  // Seen from one of them the needle carries n times its flow: a power-law resin resists as in a needle n^index as long.
  it.each([
    ['Newtonian', NEWTONIAN, 1],
    ['power law', RESINS[0]![1], 0.71],
  ] as const)('is one passage behind a needle that resists so much more: %s', (_name, rheology, index) => {
    const needle = (times: number) => ({
      sections: [{ front: 0.41e-3, rear: 0.41e-3, length: 12.7e-3 * times }],
      ends: 'none' as const,
    });
    const cavity = [BORE, { ...LEAD_IN, rear: 0.24e-3 }];
    const wetting = { ...base, rheology, cavity, surfaceTension: 42e-3, contactAngle: 0.6 };
    const twelve = boreFill({ ...wetting, cavity: row(cavity, 12), needle: needle(1), wantedBead: 12 * 20e-12 });
    const one = boreFill({ ...wetting, needle: needle(12 ** index) });
    expect(off(twelve.timeToBead, one.timeToBead!)).toBeLessThan(1e-8);
    expect(off(twelve.timeToWantedBead, one.timeToWantedBead!)).toBeLessThan(1e-8);
    expect(off(twelve.beadFlow, 12 * one.beadFlow)).toBeLessThan(1e-8);
  });

  it('stops where one of them would for want of yield pressure', () => {
    const rheology: Rheology = { model: 'bingham', yieldStress: 85, viscosity: 2.2 };
    const input = { ...base, rheology, netPressure: 17e3 };
    expect(boreFill({ ...input, cavity: row([BORE], 12) }).stoppedAt).toBe(boreFill(input).stoppedAt);
  });

  it('fills a rectangle by its own resistance and area, helped by 2γ·cos θ·(1/a + 1/b)', () => {
    const sides = { width: 2e-3, height: 0.5e-3 };
    const L = 4e-3;
    const slot = { front: 0.5e-3, rear: 0.5e-3, length: L, sides };
    const fill = boreFill({ ...base, cavity: [slot], surfaceTension: 42e-3, contactAngle: 0.6, netPressure: 5e3 });
    // f·Re 18.23278 for 1:4 (Shah & London, from memory): ΔP/(η·Q) = 2·f·Re·L/(D²·A), D = 2ab/(a + b)
    const area = 1e-6;
    const hydraulic = 0.8e-3;
    const resistance = (2 * 18.23278 * MU * L) / (hydraulic ** 2 * area);
    const driving = 5e3 + 2 * 42e-3 * Math.cos(0.6) * (1 / 2e-3 + 1 / 0.5e-3);
    expect(off(fill.timeToBead, ((area * L) / driving) * (R_NEEDLE + resistance / 2))).toBeLessThan(1e-7);
    const matched = matchedNeedle({ ...base, cavity: [slot], backfill: 12e-9, length: 12.7e-3 });
    expect(matched).not.toBeNull();
    expect(
      boreFill({ ...base, cavity: [slot], surfaceTension: 42e-3, contactAngle: 2.5, netPressure: 100 }).stoppedAt,
    ).toBe(L);
  });
});

describe('boreFill, yield stress', () => {
  const rheology: Rheology = { model: 'bingham', yieldStress: 85, viscosity: 2.2 };
  // Needle: 4·85·(12.7 mm + 3π/16·0.205 mm)/0.41 mm = 10.632 kPa; bore: 4·85/126 µm = 2.698 kPa per mm.
  const needle = (4 * 85 * (12.7e-3 + ((3 * Math.PI) / 16) * 0.205e-3)) / 0.41e-3;
  const perLength = (4 * 85) / 126e-6;

  it('stops where the pressure is used up by yield, and says where', () => {
    const fill = boreFill({ ...base, rheology, netPressure: needle + 2e-3 * perLength });
    expect(fill).toMatchObject({ timeToBead: null, timeToWantedBead: null, beadFlow: 0, needleShare: null });
    expect(off(fill.stoppedAt, 3.5e-3)).toBeLessThan(1e-9);
    expect(fill.beadVolumeAt(1e9)).toBeNull();
  });

  it('does not leave the seat when the needle alone is too much', () => {
    expect(boreFill({ ...base, rheology, netPressure: needle * 0.99 }).stoppedAt).toBe(5.5e-3);
  });

  it('fills the bore with the capillary’s help and then stands at the end face', () => {
    const help = (4 * 42e-3) / 126e-6;
    const netPressure = needle + 5.5e-3 * perLength - help / 2;
    const fill = boreFill({ ...base, rheology, netPressure, surfaceTension: 42e-3, contactAngle: 0 });
    expect(fill.timeToBead).toBeGreaterThan(0);
    expect(fill).toMatchObject({ timeToWantedBead: null, stoppedAt: 0, beadFlow: 0 });
    expect(fill.beadVolumeAt(fill.timeToBead! * 2)).toBe(0);
  });

  // Just above what the resin carries the flow goes like a high power of what is left of the pressure, which is then known
  // to a few digits only: what is left is counted, and not two pressures against each other.
  describe.each([1e-3, 1e-6, 1e-9])('with a share of %s of the pressure left at the end face', share => {
    const d = 126e-6;
    const L = 5.5e-3;
    const thin = { sections: [{ front: d, rear: d, length: 12.7e-3 }], ends: 'none' as const }; // one tube with the bore
    const [yieldStress, K, n] = [20, 2.4, 0.3];
    const resin: Rheology = { model: 'herschel-bulkley', yieldStress, consistency: K, flowIndex: n };
    const gradient = (4 * yieldStress) / d;
    const atEnd = gradient * (12.7e-3 + L);
    const left = share * atEnd;
    /** The closed form of a Herschel–Bulkley resin at a distance from the end face, from what is left of the pressure. */
    const flow = (way: number) => {
      const wall = ((left + atEnd) * d) / 4 / (12.7e-3 + L - way);
      const phi = yieldStress / wall;
      const sheared = (left + gradient * way) / (left + atEnd); // 1 − φ, without the difference
      const bracket = sheared ** 2 / (3 * n + 1) + (2 * phi * sheared) / (2 * n + 1) + phi ** 2 / (n + 1);
      return Math.PI * (d / 2) ** 3 * n * (wall / K) ** (1 / n) * sheared ** ((n + 1) / n) * bracket;
    };
    /** ∫ A dx/Q by Simpson's rule, evenly over ln(what is left). */
    const summed = (from: number, to: number) => {
      const steps = 20_000;
      const [a, b] = [from, to].map(way => Math.log(left + gradient * way)) as [number, number];
      const h = (b - a) / steps;
      let sum = 0;
      for (let i = 0; i <= steps; i++) {
        const now = Math.exp(a + i * h);
        sum += ((i === 0 || i === steps ? 1 : i % 2 === 0 ? 2 : 4) * now) / gradient / flow((now - left) / gradient);
      }
      return (AREA * sum * h) / 3;
    };
    // as much as the difference of two pressures of 16 digits tells, to the power 1/n + 1
    const known = 1e-9 + (5 * 1e-16) / share;

    it('fills a cylinder in the time of the closed form', () => {
      const fill = boreFill({ ...base, needle: thin, rheology: resin, netPressure: atEnd + left });
      expect(off(fill.timeToBead, summed(0, L))).toBeLessThan(known * 10);
    });

    it('and a cone that is next to a cylinder', () => {
      const cone = { front: d, rear: d * (1 + 1e-9), length: L };
      const fill = boreFill({ ...base, needle: thin, rheology: resin, cavity: [cone], netPressure: atEnd + left });
      // a diameter wider by 5e-10 on average moves what is left by as much of the pressure
      expect(off(fill.timeToBead, summed(0, L))).toBeLessThan(known * 10 + 1e-8 / share);
    });
  });

  it('finds a stop inside a cone although both its ends could be passed', () => {
    // Strong wetting pulls at the narrow end; the lowest margin is at d = γ·cos θ·k/τ₀ inside the cone.
    const cone = { front: 50e-6, rear: 0.8e-3, length: 7.5e-3 }; // k = 0.1
    const stiff: Rheology = { model: 'bingham', yieldStress: 20, viscosity: 2 };
    const wide = { sections: [{ front: 4e-3, rear: 4e-3, length: 1e-3 }], ends: 'none' as const };
    const margin = (d: number, p: number) =>
      p + (4 * 42e-3) / d - (4 * 20 * 1e-3) / 4e-3 - (4 * 20 * Math.log(0.8e-3 / d)) / 0.1;
    const lowest = margin((42e-3 * 0.1) / 20, 0); // at 210 µm
    const input = { ...base, needle: wide, rheology: stiff, cavity: [cone], surfaceTension: 42e-3, contactAngle: 0 };
    expect(margin(0.8e-3, -lowest - 1)).toBeGreaterThan(0);
    expect(margin(50e-6, -lowest - 1)).toBeGreaterThan(0);
    const stopped = boreFill({ ...input, netPressure: -lowest - 1 }).stoppedAt!;
    expect(margin(50e-6 + 0.1 * stopped, -lowest - 1)).toBeCloseTo(0, 6);
    expect(boreFill({ ...input, netPressure: -lowest + 1 }).timeToBead).toBeGreaterThan(0);
  });
});

describe('boreFill, edges', () => {
  it('starts the bead at once when the needle seats at the end face', () => {
    const fill = boreFill({ ...base, cavity: [] });
    expect(fill.timeToBead).toBe(0);
    expect(fill.needleShare).toBeCloseTo(1, 12);
  });

  it('has no times without pressure', () => {
    expect(boreFill({ ...base, netPressure: 0 })).toMatchObject({ timeToBead: null, stoppedAt: 5.5e-3 });
  });

  it('refuses numbers that make no sense', () => {
    expect(() => boreFill({ ...base, netPressure: -1 })).toThrow(DomainError);
    expect(() => boreFill({ ...base, wantedBead: Number.NaN })).toThrow(DomainError);
    expect(() => boreFill({ ...base, cavity: [{ ...BORE, front: 0 }] })).toThrow(DomainError);
    expect(() => boreFill({ ...base, surfaceTension: -1 })).toThrow(DomainError);
  });
});

describe('matchedNeedle', () => {
  const cavity = [BORE, LEAD_IN];
  const backfill = 4e-9;

  /** What the straight needle with d⁴/L delivers freely in its own time to the wanted bead. */
  const delivered = (input: BoreFillInput, d: number, length: number) => {
    const needle = { sections: [{ front: d, rear: d, length }] };
    const time = boreFill({ ...input, needle }).timeToWantedBead!;
    return needleFlow({ ...needle, rheology: input.rheology, pressure: input.netPressure, density: 1150 }).flow * time;
  };
  /** Bore whose d⁴ over corrected length is a value, by bisection. */
  const boreOf = (matched: number, length: number) => {
    let [low, high] = [1e-6, 1e-1];
    for (let i = 0; i < 80; i++) {
      const d = (low + high) / 2;
      if (d ** 4 / (length + ((3 * Math.PI) / 32) * d) < matched) low = d;
      else high = d;
    }
    return low;
  };

  it('is the needle whose backfill in the time to the wanted bead is the aim', () => {
    const input = { ...base, cavity };
    const matched = matchedNeedle({ ...input, backfill, length: 12.7e-3 })!;
    for (const length of [6e-3, 12.7e-3, 38e-3]) {
      expect(off(delivered(input, boreOf(matched, length), length), backfill)).toBeLessThan(1e-9);
    }
  });

  it('does not depend on pressure and viscosity of a Newtonian resin', () => {
    const one = matchedNeedle({ ...base, cavity, backfill, length: 1 })!;
    const rheology: Rheology = { model: 'newtonian', viscosity: 77 };
    expect(off(matchedNeedle({ ...base, cavity, backfill, length: 1, rheology, netPressure: 3e4 }), one)).toBeLessThan(
      1e-12,
    );
  });

  it('counts the capillary’s help in', () => {
    const input = { ...base, cavity, surfaceTension: 42e-3, contactAngle: 0.3, netPressure: 20e3 };
    const matched = matchedNeedle({ ...input, backfill, length: 12.7e-3 })!;
    expect(off(delivered(input, boreOf(matched, 12.7e-3), 12.7e-3), backfill)).toBeLessThan(1e-9);
  });

  it.each(RESINS)('is found for a %s resin', (_name, rheology) => {
    const input = { ...base, cavity, rheology };
    const matched = matchedNeedle({ ...input, backfill, length: 12.7e-3 })!;
    expect(off(delivered(input, boreOf(matched, 12.7e-3), 12.7e-3), backfill)).toBeLessThan(1e-7);
  });

  it('is none when the backfill is no more than the bore shot', () => {
    const shot = stackVolume(cavity) + base.wantedBead;
    expect(matchedNeedle({ ...base, cavity, backfill: shot, length: 12.7e-3 })).toBeNull();
    expect(matchedNeedle({ ...base, cavity, backfill: 1.01 * shot, length: 12.7e-3 })).not.toBeNull();
  });
});
