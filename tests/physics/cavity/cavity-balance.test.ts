import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { makeCableStack, makeStack, stackVolume } from '../../../src/physics/cavity/cavity.ts';
import { cavityBalance } from '../../../src/physics/cavity/cavity-balance.ts';
import { freeVolume, makeGap } from '../../../src/physics/cavity/gap.ts';

const positive = (max: number) => fc.double({ min: 0.05, max, noNaN: true });
const frustums = fc.array(fc.record({ front: positive(1), rear: positive(1), length: positive(4) }), {
  minLength: 1,
  maxLength: 5,
});
const balances = fc
  .record({
    outer: frustums,
    inner: frustums,
    protrusion: fc.double({ min: 0, max: 2, noNaN: true }),
    seatShare: fc.double({ min: 0.01, max: 1, noNaN: true }),
    reachShare: fc.double({ min: 0, max: 1, noNaN: true }),
    allowance: fc.double({ min: 0, max: 0.5, noNaN: true }),
    bead: fc.double({ min: 0, max: 1, noNaN: true }),
  })
  .map(r => {
    const cavity = makeStack(r.outer.map(f => ({ ...f, front: f.front + 1, rear: f.rear + 1 }))); // cable at most 1
    const cable = makeCableStack(r.inner, r.protrusion);
    const boreRear = cavity.pieces[0]?.to as number;
    const seat = r.seatShare * cavity.to;
    const reach = r.reachShare * cavity.to;
    const { allowance, bead } = r;
    const balance = cavityBalance({ gap: makeGap(cavity, cable), boreRear, seat, allowance });
    return { cavity, cable, boreRear, seat, reach, allowance, bead, balance };
  });

describe('the balance of a connector', () => {
  test('conserves volume: what the two shots bring stands in the cavity and on the face', () => {
    fc.assert(
      fc.property(balances, ({ cavity, cable, boreRear, seat, reach, allowance, bead, balance }) => {
        const boreShot = stackVolume(cavity, { from: 0, to: seat }) + bead;
        const brought = boreShot + balance.backfill(reach) / (1 + allowance);
        const finalBead = bead + stackVolume(cable, { from: 0, to: boreRear });
        // In the bore the fibre leaves a free gap that stays full: gross of the bore = cable in it + that gap
        const standing = finalBead + freeVolume(makeGap(cavity, cable), { from: 0, to: reach });
        expect(Math.abs(brought - standing)).toBeLessThan(
          1e-12 * (1 + stackVolume(cavity, { from: 0, to: cavity.to })),
        );
      }),
      { seed: 1 },
    );
  });

  test('gives the reach of a backfill back', () => {
    fc.assert(
      fc.property(balances, ({ reach, balance, cavity }) => {
        const back = balance.reachOf(balance.backfill(reach));
        expect(back).not.toBeNull();
        const again = balance.backfill(back as number);
        const scale = 1 + stackVolume(cavity, { from: 0, to: cavity.to });
        expect(Math.abs(again - balance.backfill(reach))).toBeLessThan(1e-11 * scale);
      }),
      { seed: 2 },
    );
  });

  test('adds the allowance as a share of the backfill', () => {
    // Bore 1 wide, 2 long; tube 2 wide, 3 long; cable 1 wide throughout; seat at the rear of the bore.
    const cavity = makeStack([
      { front: 1, rear: 1, length: 2 },
      { front: 2, rear: 2, length: 3 },
    ]);
    const cable = makeCableStack([{ front: 1, rear: 1, length: 9 }], 0);
    const balance = cavityBalance({ gap: makeGap(cavity, cable), boreRear: 2, seat: 2, allowance: 0.1 });
    expect(balance.left).toBe(0);
    expect(balance.backfill(5)).toBeCloseTo((Math.PI / 4) * (4 - 1) * 3 * 1.1, 12);
    expect(balance.backfill(2)).toBe(0);
    expect(balance.backfill(1)).toBeCloseTo(0, 12); // nothing is free in a bore that the cable fills
  });
});
