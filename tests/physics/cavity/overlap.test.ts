import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { areaFold, makeCableStack, makeStack, stackVolume } from '../../../src/physics/cavity/cavity.ts';
import { freeVolume, interferences, makeGap, placeOfFreeVolume } from '../../../src/physics/cavity/gap.ts';
import { overlap } from '../../../src/physics/cavity/overlap.ts';
import { piecesAhead, seatOf } from '../../../src/physics/cavity/seat.ts';

const round = (diameter: number, count = 1, pitch?: number) => ({ diameter, count, sides: undefined, pitch });
const flat = (width: number, height: number, count = 1, pitch?: number) => ({
  ...{ diameter: Math.min(width, height), count },
  ...{ sides: { width, height }, pitch },
});

describe('what goes into what, by hand', () => {
  it.each([
    ['a fibre in its bore', round(126), round(125), -1],
    ['a fibre in a flat slot', flat(400, 120), round(125), 5],
    ['a ribbon by its corners in a round tube', round(5), flat(4, 3), 0],
    ['a ribbon in a chamber', flat(9.4, 0.9), flat(9.1, 1.0), 0.1],
    ['each fibre in a bore of its own', round(126, 12, 250), round(125, 12, 250), -1],
    ['fewer fibres than bores', round(126, 12, 250), round(128, 8, 250), 2],
    ['a row of fibres in a round chamber', round(3), round(0.25, 12, 0.25), 0],
    ['a row of fibres in a flat chamber', flat(2.9, 0.9), round(0.25, 12, 0.25), 3 - 2.9],
    ['a row whose pitch is not known: each by itself', round(3), round(0.25, 12), -2.75],
    ['two ribbons side by side', round(5), flat(2, 3, 2, 2), 0],
    ['a ribbon that would have to go into one of twelve bores', round(126, 12, 250), flat(300, 400), 374],
  ] as const)('%s', (_, outer, inner, expected) => {
    expect(overlap(outer, inner)).toBeCloseTo(expected, 12);
  });
});

describe('stacks of several passages and rectangles', () => {
  const bores = { front: 0.126, rear: 0.126, length: 1.5, count: 12, pitch: 0.75 };
  const cones = { front: 0.126, rear: 0.5, length: 0.5, count: 12, pitch: 0.75 };
  const chamber = { front: 1, rear: 1, length: 6, sides: { width: 9.4, height: 0.9 } };
  const cavity = makeStack([bores, cones, chamber]);
  const cable = makeCableStack(
    [
      { front: 0.125, rear: 0.125, length: 3.4, count: 12, pitch: 0.75 },
      { front: 0.4, rear: 0.4, length: 20, sides: { width: 9.1, height: 0.4 } },
    ],
    1,
  );
  const area = (d: number) => (Math.PI / 4) * d * d;
  const gross = 12 * area(0.126) * 1.5 + (12 * Math.PI * 0.5 * (0.126 ** 2 + 0.126 * 0.5 + 0.25)) / 12 + 9.4 * 0.9 * 6;

  it('hold twelve times one, and width times height', () => {
    expect(stackVolume(cavity, { from: 0, to: 8 })).toBeCloseTo(gross, 12);
    expect(stackVolume(cavity, { from: 0.5, to: 1 })).toBeCloseTo(6 * area(0.126), 14);
    expect(stackVolume(cable, { from: 0, to: 8 })).toBeCloseTo(12 * area(0.125) * 2.4 + 9.1 * 0.4 * 5.6, 12);
    expect(areaFold({})).toBe(1);
    expect(() => areaFold({ count: 1.5 })).toThrow(DomainError);
    expect(() => areaFold({ sides: { width: 0, height: 1 } })).toThrow(DomainError);
  });

  it('leave free what the cable does not take, and find the place back', () => {
    const gap = makeGap(cavity, cable);
    const free = freeVolume(gap, { from: 0, to: 8 });
    expect(free).toBeCloseTo(gross - stackVolume(cable, { from: 0, to: 8 }), 12);
    for (const place of [0.7, 1.8, 2.2, 5, 8]) {
      const volume = freeVolume(gap, { from: 1.5, to: place });
      expect(placeOfFreeVolume(gap, { from: 1.5, volume })).toBeCloseTo(place, 9);
    }
    expect(interferences(gap)).toEqual([]);
  });

  it('say where a ribbon is too thick, and a fibre too far apart', () => {
    const thick = makeCableStack(
      [
        { front: 0.125, rear: 0.125, length: 2, count: 12, pitch: 0.75 },
        { front: 1, rear: 1, length: 9, sides: { width: 9, height: 1 } },
      ],
      0,
    );
    expect(interferences(makeGap(cavity, thick))).toEqual([
      expect.objectContaining({ cavityIndex: 2, cableIndex: 1, from: 2, to: 8, amount: expect.closeTo(0.1, 12) }),
    ]);
    const wide = makeCableStack([{ front: 0.125, rear: 0.125, length: 9, count: 12, pitch: 0.9 }], 0);
    expect(interferences(makeGap(cavity, wide))[0]).toMatchObject({
      cavityIndex: 2,
      amount: expect.closeTo(11 * 0.9 + 0.125 - 9.4, 9),
    });
  });

  it('seat a needle at the front of the chamber, however thin it is, and not where there is none', () => {
    for (const outside of [0.7, 0.3, 0.1])
      expect(seatOf(cavity, outside)).toEqual({ kind: 'seated', place: 2, index: 2 });
    expect(seatOf(cavity, 0.91)).toEqual({ kind: 'does-not-enter', rear: 0.9 });
    expect(seatOf(makeStack([bores]), 0.1)).toEqual({ kind: 'does-not-enter', rear: 0.126 });
    const ahead = piecesAhead(cavity, 2);
    expect(ahead.map(({ count }) => count)).toEqual([12, 12]);
    expect(ahead[0]).toMatchObject({ front: 0.5, rear: 0.126 });
  });
});
