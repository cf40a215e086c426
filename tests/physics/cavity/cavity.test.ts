import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import {
  diameterAt,
  type Frustum,
  makeCableStack,
  makeStack,
  type Stack,
  stackVolume,
} from '../../../src/physics/cavity/cavity.ts';
import { freeVolume, interferences, makeGap, placeOfFreeVolume } from '../../../src/physics/cavity/gap.ts';
import { piecesAhead, seatOf } from '../../../src/physics/cavity/seat.ts';

const cylinder = (diameter: number, length: number): Frustum => ({ front: diameter, rear: diameter, length });
const cone = (front: number, rear: number, length: number): Frustum => ({ front, rear, length });
const whole = (stack: Stack) => ({ from: stack.from, to: stack.to });

describe('volumes of stacks', () => {
  test('a cylinder of 2 mm over 10 mm holds π·1²·10 = 31.4159 µL', () => {
    expect(stackVolume(makeStack([cylinder(2, 10)]), { from: 0, to: 10 })).toBeCloseTo(10 * Math.PI, 12);
  });

  test('a cone of 1 to 2 mm over 3 mm holds π·3·(1 + 2 + 4)/12 = 7π/4 µL', () => {
    expect(stackVolume(makeStack([cone(1, 2, 3)]), { from: 0, to: 3 })).toBeCloseTo((7 * Math.PI) / 4, 12);
  });

  test('the front third of that cone, 1 to 4/3 mm over 1 mm, holds π·(1 + 4/3 + 16/9)/12 = 37π/108 µL', () => {
    expect(stackVolume(makeStack([cone(1, 2, 3)]), { from: 0, to: 1 })).toBeCloseTo((37 * Math.PI) / 108, 12);
  });

  test('between places in two pieces it counts the part of each: π/4·(1²·0.5 + 2²·0.25)', () => {
    const stack = makeStack([cylinder(1, 1), cylinder(2, 1)]);
    expect(stackVolume(stack, { from: 0.5, to: 1.25 })).toBeCloseTo((Math.PI / 4) * 1.5, 12);
  });

  test('is negative backwards and nothing outside', () => {
    const stack = makeStack([cylinder(1, 1)]);
    expect(stackVolume(stack, { from: 1, to: 0 })).toBeCloseTo(-Math.PI / 4, 12);
    expect(stackVolume(stack, { from: 1, to: 5 })).toBe(0);
    expect(stackVolume(stack, { from: -3, to: 5 })).toBeCloseTo(Math.PI / 4, 12);
  });

  test('the gap between a 126 µm bore and a 125 µm fibre over 10.5 mm is 2.07 nL', () => {
    // published sanity value, three digits; by hand π/4·(126² − 125²)·1e-12·10.5e-3 = 2.0699e-12 m³
    const bore = makeStack([cylinder(126e-6, 10.5e-3)]);
    const fibre = makeCableStack([cylinder(125e-6, 20e-3)], 1e-3);
    expect(freeVolume(makeGap(bore, fibre), whole(bore)) / 1e-12).toBeCloseTo((Math.PI / 4) * 251 * 10.5e-3, 9);
    expect(freeVolume(makeGap(bore, fibre), whole(bore)) / 1e-12).toBeCloseTo(2.07, 2);
  });

  test('a 0.9 mm hole of 5 mm less a 125 µm fibre is 3.12 µL', () => {
    const hole = makeStack([cylinder(0.9e-3, 5e-3)]);
    const fibre = makeCableStack([cylinder(125e-6, 20e-3)], 0);
    expect(freeVolume(makeGap(hole, fibre), whole(hole)) / 1e-9).toBeCloseTo(3.12, 2); // published, three digits
  });

  test('the protrusion shifts the cable forward', () => {
    // 3 mm of cable with 1 mm in front of the face: 2 mm stand in the 2 mm hole of 4 mm
    const hole = makeStack([cylinder(2, 4)]);
    const cable = makeCableStack([cylinder(1, 3)], 1);
    expect(freeVolume(makeGap(hole, cable), whole(hole))).toBeCloseTo(Math.PI * 4 - (Math.PI / 4) * 2, 12);
    expect(diameterAt(cable, 2)).toBe(1);
    expect(diameterAt(cable, 2.1)).toBeNull();
  });
});

const place = fc.double({ min: -1, max: 12, noNaN: true });
const diameters = fc.double({ min: 0.01, max: 3, noNaN: true });
const frustums = (scale: number) =>
  fc.array(
    fc.record({
      front: diameters.map(d => d * scale),
      rear: diameters.map(d => d * scale),
      length: fc.double({ min: 0.01, max: 4, noNaN: true }),
    }),
    { minLength: 1, maxLength: 6 },
  );
const cavities = frustums(1).map(f => makeStack(f.map(x => ({ ...x, front: x.front + 3, rear: x.rear + 3 }))));
const cables = fc
  .tuple(frustums(1), fc.double({ min: 0, max: 2, noNaN: true }))
  .map(([f, protrusion]) => makeCableStack(f, protrusion)); // at most 3 wide: fits the cavities of 3 to 6

describe('conservation of volume', () => {
  test('gross = cable + free between any two places', () => {
    fc.assert(
      fc.property(cavities, cables, place, place, (cavity, cable, a, b) => {
        const [from, to] = [a, b].map(x => Math.min(cavity.to, Math.max(0, x))) as [number, number]; // either order
        const gross = stackVolume(cavity, { from, to });
        const sum = stackVolume(cable, { from, to }) + freeVolume(makeGap(cavity, cable), { from, to });
        expect(Math.abs(sum - gross)).toBeLessThan(1e-12 * stackVolume(cavity, whole(cavity)));
      }),
      { seed: 1 },
    );
  });

  test('parts add up to the whole', () => {
    fc.assert(
      fc.property(cavities, cables, place, (cavity, cable, middle) => {
        const all = freeVolume(makeGap(cavity, cable), { from: 0, to: cavity.to });
        const front = freeVolume(makeGap(cavity, cable), { from: 0, to: middle });
        const rear = freeVolume(makeGap(cavity, cable), { from: middle, to: cavity.to });
        expect(Math.abs(front + rear - all)).toBeLessThan(1e-12 * all);
      }),
      { seed: 2 },
    );
  });

  test('the reach of a free volume gives that volume', () => {
    fc.assert(
      fc.property(cavities, cables, fc.double({ min: 0, max: 1, noNaN: true }), (cavity, cable, share) => {
        const from = cavity.pieces[0]?.to ?? 0;
        const volume = share * freeVolume(makeGap(cavity, cable), { from, to: cavity.to });
        const reach = placeOfFreeVolume(makeGap(cavity, cable), { from, volume });
        expect(reach).not.toBeNull();
        const back = freeVolume(makeGap(cavity, cable), { from, to: reach as number });
        expect(Math.abs(back - volume)).toBeLessThan(1e-12 * stackVolume(cavity, whole(cavity)));
      }),
      { seed: 3 },
    );
  });

  test('agrees with a plain sum over thin slices', () => {
    const cavity = makeStack([cone(3, 4, 1), cylinder(5, 2), cone(6, 3.5, 3)]);
    const cable = makeCableStack([cylinder(0.5, 1.7), cone(0.5, 3, 2.5)], 0.4);
    const n = 200_000;
    let sum = 0;
    for (let i = 0; i < n; i++) {
      const x = ((i + 0.5) * cavity.to) / n;
      sum += (diameterAt(cavity, x) as number) ** 2 - (diameterAt(cable, x) ?? 0) ** 2;
    }
    const slices = ((Math.PI / 4) * sum * cavity.to) / n;
    // slices that straddle a step are off by at most one slice each
    expect(freeVolume(makeGap(cavity, cable), whole(cavity)) / slices).toBeCloseTo(1, 5);
  });
});

describe('placeOfFreeVolume', () => {
  const cavity = makeStack([cylinder(2, 4)]);
  const cable = makeCableStack([cylinder(1, 4)], 0);
  const free = (Math.PI / 4) * 3; // for each unit of length

  test('is null where the cavity overflows', () => {
    expect(placeOfFreeVolume(makeGap(cavity, cable), { from: 1, volume: 3.001 * free })).toBeNull();
    expect(placeOfFreeVolume(makeGap(cavity, cable), { from: 1, volume: 3 * free })).toBeCloseTo(4, 12);
  });

  test('counts a negative volume forward, until the end face', () => {
    expect(placeOfFreeVolume(makeGap(cavity, cable), { from: 3, volume: -free })).toBeCloseTo(2, 12);
    expect(placeOfFreeVolume(makeGap(cavity, cable), { from: 1, volume: -2 * free })).toBeNull();
  });
});

describe('interference', () => {
  const bore = makeStack([cylinder(126, 5), cone(126, 900, 0.6), cylinder(1100, 7)]);

  test('touching fits', () => {
    expect(interferences(makeGap(bore, makeCableStack([cylinder(126, 6)], 1)))).toEqual([]);
    const inTenths = makeStack([cylinder(0.1 + 0.2, 1)]); // 0.30000000000000004
    expect(interferences(makeGap(inTenths, makeCableStack([cylinder(0.3, 1)], 0)))).toEqual([]);
    expect(interferences(makeGap(makeStack([cylinder(0.3, 1)]), makeCableStack([cylinder(0.1 + 0.2, 1)], 0)))).toEqual(
      [],
    );
  });

  test('names place and amount of a cylinder that is too thick', () => {
    expect(interferences(makeGap(bore, makeCableStack([cylinder(127, 4)], 1)))).toEqual([
      { cavityIndex: 0, cableIndex: 0, from: 0, to: 3, place: 0, amount: 1 },
    ]);
  });

  test('finds the place inside a cone exactly', () => {
    // 513 is the middle of 126 to 900: from 5 to 5.3 the cone is narrower than a buffer of 513 that starts at 5
    const [hit] = interferences(makeGap(bore, makeCableStack([cylinder(125, 5), cylinder(513, 7)], 0)));
    expect(hit).toMatchObject({ cavityIndex: 1, cableIndex: 1, place: 5, amount: 387 });
    expect(hit?.from).toBe(5);
    expect(hit?.to).toBeCloseTo(5.3, 12);
  });

  test('sees a step of the cable just in front of a step of the cavity', () => {
    const hits = interferences(makeGap(bore, makeCableStack([cylinder(125, 4.9), cylinder(245, 2)], 0)));
    expect(hits[0]).toMatchObject({ cavityIndex: 0, cableIndex: 1, amount: 119 });
    expect(hits[0]?.from).toBeCloseTo(4.9, 12);
    expect(hits[0]?.to).toBeCloseTo(5, 12);
    expect(hits).toHaveLength(2); // and the front of the cone
  });

  test('does not look in front of the face or behind the rear', () => {
    expect(interferences(makeGap(bore, makeCableStack([cylinder(2000, 1), cylinder(125, 11.6)], 1)))).toEqual([]);
    const behind = makeCableStack([cylinder(125, 12.6), cylinder(3000, 5)], 0);
    expect(interferences(makeGap(bore, behind))).toEqual([]);
  });

  test('a cable of random shape fits where slices say so', () => {
    fc.assert(
      fc.property(cavities, frustums(2), (cavity, pieces) => {
        const cable = makeCableStack(pieces, 0);
        const worst = Math.max(0, ...interferences(makeGap(cavity, cable)).map(hit => hit.amount));
        let sliced = 0;
        for (let i = 0; i < 400; i++) {
          const x = ((i + 0.5) * cavity.to) / 400;
          sliced = Math.max(sliced, (diameterAt(cable, x) ?? 0) - (diameterAt(cavity, x) as number));
        }
        expect(sliced).toBeLessThanOrEqual(worst + 1e-8);
        if (worst === 0) expect(sliced).toBeLessThan(1e-8);
      }),
      { seed: 4 },
    );
  });
});

describe('the seat', () => {
  const cavity = makeStack([cylinder(0.126, 5.5), cone(0.126, 0.9, 0.6), cylinder(1.1, 7)]);

  test('inside a cone lies where the diameters are equal: 5.5 + 0.6·(0.72 − 0.126)/(0.9 − 0.126)', () => {
    const seat = seatOf(cavity, 0.72);
    expect(seat).toMatchObject({ kind: 'seated', index: 1 });
    if (seat.kind === 'seated') expect(seat.place).toBeCloseTo(5.5 + (0.6 * 0.594) / 0.774, 12);
  });

  test('on a step lies at the rear of the narrower section', () => {
    expect(seatOf(cavity, 1.0)).toEqual({ kind: 'seated', place: 6.1, index: 1 });
  });

  test('equal counts as passing', () => {
    expect(seatOf(cavity, 1.1)).toMatchObject({ kind: 'seated', index: 1 });
    const sleeve = makeStack([cylinder(0.5, 1), cylinder(0.72, 1), cylinder(1, 1)]);
    expect(seatOf(sleeve, 0.72)).toEqual({ kind: 'seated', place: 1, index: 0 });
    expect(seatOf(makeStack([cylinder(0.1 + 0.2, 1)]), 0.3)).toMatchObject({ kind: 'passes-through' });
    expect(seatOf(makeStack([cylinder(0.3, 1)]), 0.1 + 0.2)).toMatchObject({ kind: 'passes-through' });
  });

  test('a cone that opens forward stops the needle at its rear', () => {
    const waist = makeStack([cone(2, 0.5, 1), cylinder(1, 1)]);
    expect(seatOf(waist, 0.7)).toEqual({ kind: 'seated', place: 1, index: 0 });
  });

  test('a needle wider than the rear does not enter; one thinner than everything passes through', () => {
    expect(seatOf(cavity, 1.2)).toEqual({ kind: 'does-not-enter', rear: 1.1 });
    expect(seatOf(cavity, 0.1)).toEqual({ kind: 'passes-through', narrowest: 0.126 });
  });

  test('what lies ahead of it comes in the direction of the flow', () => {
    const ahead = piecesAhead(cavity, 5.8);
    expect(ahead).toHaveLength(2);
    expect(ahead[0]?.front).toBeCloseTo(0.513, 12); // half-way up the cone
    expect(ahead[0]?.rear).toBe(0.126);
    expect(ahead[0]?.length).toBeCloseTo(0.3, 12);
    expect(ahead[1]).toEqual({ front: 0.126, rear: 0.126, length: 5.5 });
  });
});

test.each([
  [cylinder(0, 1)],
  [cylinder(1, 0)],
  [cone(1, -1, 1)],
  [cone(-1, 1, 1)],
  [cylinder(Number.NaN, 1)],
  [cylinder(1, Number.POSITIVE_INFINITY)],
])('refuses a piece %o', piece => {
  expect(() => makeStack([piece])).toThrow(DomainError);
});

test('refuses wrong calls', () => {
  const stack = makeStack([cylinder(1, 1)]);
  expect(() => makeCableStack([cylinder(1, 1)], -1)).toThrow(DomainError);
  expect(() => stackVolume(stack, { from: Number.NaN, to: 1 })).toThrow(DomainError);
  expect(() => freeVolume(makeGap(stack, stack), { from: 0, to: Number.POSITIVE_INFINITY })).toThrow(DomainError);
  expect(() => placeOfFreeVolume(makeGap(stack, stack), { from: 0, volume: Number.NaN })).toThrow(DomainError);
  expect(() => seatOf(stack, 0)).toThrow(DomainError);
  expect(() => seatOf(makeStack([]), 1)).toThrow(DomainError);
});
