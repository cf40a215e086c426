import type { RandomSource } from '../../../src/numeric/random.ts';
import { PLAIN, type Taken, takenMap } from './distorted-page.ts';
import type { Gray } from './drawn-page.ts';

/** A page that was drawn, and how fine. */
export interface Page {
  readonly page: Gray;
  readonly dpi: number;
}

/** A picture drawn at random: flatbeds and cameras, good ones and bad ones. */
export function randomTaken(random: RandomSource, { dpi }: { dpi: readonly [number, number] }): Taken {
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  const flatbed = random.uniform() < 0.5;
  return {
    ...PLAIN,
    dpi: Math.round(dpi[0] * (dpi[1] / dpi[0]) ** random.uniform()),
    scaleX: between(0.95, 1.05),
    scaleY: between(0.95, 1.05),
    turn: between(0, 360),
    tilt: flatbed ? 0 : between(0, 20),
    tiltAxis: between(0, 180),
    focal: between(0.8, 2.5),
    light: between(0.55, 1),
    blur: between(0, 1),
    noise: between(0, 8),
    jpeg: random.uniform() < 0.5 ? 80 : null,
  };
}

/** The same, cut so that one corner of the sheet is gone; null where a cut takes a second one. */
export function withoutCorner(t: Taken, { page, dpi }: Page, corner: number): Taken | null {
  const { map, width, height } = takenMap(page, dpi, t);
  const [w, h] = [page.width, page.height].map(v => (v * 25.4) / dpi) as [number, number];
  const places = [
    [10, 10],
    [w - 10, 10],
    [w - 10, h - 10],
    [10, h - 10],
  ].map(([x = 0, y = 0]) => {
    const k = map[6] * x + map[7] * y + map[8];
    return { x: (map[0] * x + map[1] * y + map[2]) / k, y: (map[3] * x + map[4] * y + map[5]) / k };
  });
  const gone = places[corner]!;
  const room = (4 * t.dpi) / 25.4;
  const cuts = [
    { left: Math.ceil(gone.x + room / 4), top: 0, right: width, bottom: height },
    { left: 0, top: 0, right: Math.floor(gone.x - room / 4), bottom: height },
    { left: 0, top: Math.ceil(gone.y + room / 4), right: width, bottom: height },
    { left: 0, top: 0, right: width, bottom: Math.floor(gone.y - room / 4) },
  ];
  const keeps = (c: (typeof cuts)[0]) =>
    places.every(
      (p, i) =>
        i === corner || (p.x > c.left + room && p.x < c.right - room && p.y > c.top + room && p.y < c.bottom - room),
    );
  const crop = cuts.find(keeps);
  return crop === undefined ? null : { ...t, crop };
}
