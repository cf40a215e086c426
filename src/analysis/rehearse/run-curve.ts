import type { Setting } from '../delivery/operating-point.ts';
import type { ShotLeft } from '../release/shots-left.ts';
import type { SampledLine } from './line-sample.ts';

/** What a syringe gives along its run [m³]. */
export interface RunVolumes {
  /** Without what differs from shot to shot, at a place of the run. */
  still(place: number): number;
  /** As the shot was drawn last. */
  shot(place: number): number;
}

/** Shots of a run at which a syringe is worked out by the models; the shots between follow. */
const PLACES = 7;
/** Shots at which it is seen how pressure and dwell move it, and by how much they are moved for that [-]. */
const SLOPES = 3;
const STEP = 0.005;

/** Every shot by the models. */
export function exactVolumes(line: SampledLine, shots: readonly ShotLeft[], settings: readonly Setting[]): RunVolumes {
  return {
    still: i => line.still(shots[i]!, settings[i]!.dwell),
    shot: i => line.shot(shots[i]!, settings[i]!.dwell),
  };
}

/**
 * A run of a syringe as it was drawn, from some of its shots: by how much it differs from what the recipe gives a syringe as thick is
 * smooth along the run, and a press by a little more or less pressure and dwell moves it in proportion.
 *
 *   ln(still/asThick) a polynomial through {@link PLACES} shots; ln(shot/still) = a·ln(p/p₀) + b·ln(t/t₀), slopes through {@link SLOPES}
 *
 * `asThick` is what the models give a syringe of that thickness, shot by shot [m³]. Null where it does not do: a short run, a shot that
 * is none, or something else than pressure and dwell that differs from shot to shot.
 * Evidence: the models one by one, within 5·10⁻⁴, on recipes of the demo.
 */
export function runCurve(
  line: SampledLine,
  p: { shots: readonly ShotLeft[]; settings: readonly Setting[]; asThick: readonly number[] },
): RunVolumes | null {
  const { shots, settings, asThick } = p;
  if (!line.pressesAlone || shots.length < 3 * PLACES) return null;
  const ratio = throughPlaces(placesOf(shots.length, PLACES), i =>
    Math.log(line.still(shots[i]!, settings[i]!.dwell) / asThick[i]!),
  );
  const still = (i: number) => Math.exp(ratio(i)) * asThick[i]!;
  const moved = (i: number, by: { pressure: number; dwell: number }) => {
    const { pressure, dwell } = settings[i]!;
    const to = { pressure: pressure * by.pressure, dwell: dwell * (1 + by.dwell) };
    return Math.log(line.still(shots[i]!, to.dwell, to.pressure) / line.still(shots[i]!, dwell)) / Math.log1p(STEP);
  };
  const places = placesOf(shots.length, SLOPES);
  const byPressure = throughPlaces(places, i => moved(i, { pressure: STEP, dwell: 0 }));
  const byDwell = throughPlaces(places, i => moved(i, { pressure: 0, dwell: STEP }));
  if (!Number.isFinite(ratio(1)) || !Number.isFinite(byPressure(1)) || !Number.isFinite(byDwell(1))) return null;
  const shot = (i: number) => {
    const { pressure, dwell } = settings[i]!;
    const by = line.pressed(dwell);
    return (
      still(i) *
      Math.exp(byPressure(i) * Math.log1p(by.pressure / pressure) + byDwell(i) * Math.log1p(by.dwell / dwell))
    );
  };
  return { still, shot };
}

/** Places from first to last, close at the ends as the extremes of a Chebyshev polynomial are. */
function placesOf(count: number, places: number): number[] {
  return Array.from({ length: places }, (_, k) =>
    Math.round(((count - 1) / 2) * (1 - Math.cos((Math.PI * k) / (places - 1)))),
  );
}

/** The polynomial through values at some places, by the barycentric formula; not a number where a value is none. */
function throughPlaces(places: readonly number[], valueAt: (place: number) => number): (place: number) => number {
  const values = places.map(valueAt);
  const span = places.at(-1)! - places[0]!;
  const weights = places.map(a => places.reduce((w, b) => (a === b ? w : w / ((4 * (a - b)) / span)), 1));
  return place => {
    let [above, below] = [0, 0];
    for (let k = 0; k < places.length; k++) {
      if (places[k] === place) return values.every(Number.isFinite) ? values[k]! : Number.NaN;
      const share = weights[k]! / (place - places[k]!);
      above += share * values[k]!;
      below += share;
    }
    return above / below;
  };
}
