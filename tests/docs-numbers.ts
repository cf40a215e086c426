import { join } from 'node:path';
import { cavity } from '../src/analysis/cavity/cavity.ts';
import { resinCourse } from '../src/analysis/delivery/resin-course.ts';
import { leastMass } from '../src/analysis/mix/mix-ratio.ts';
import { ramp } from '../src/analysis/ramp/ramp.ts';
import { evidenceOf } from '../src/analysis/release/release-evidence.ts';
import { shot } from '../src/analysis/shot/shot.ts';
import { nodeFileSystem } from '../src/files/node-file-system.ts';
import { fitLeastSquares } from '../src/numeric/least-squares.ts';
import { profileInterval } from '../src/numeric/profile-interval.ts';
import { type AirModel, makeAirPulse } from '../src/physics/air/air.ts';
import { filling, valveMassFlow } from '../src/physics/air/iso6358.ts';
import { boreFill } from '../src/physics/cavity/bore-fill.ts';
import { frustumVolume } from '../src/physics/cavity/cavity.ts';
import { bucklingLoad, dragLength } from '../src/physics/cavity/insertion.ts';
import { matchedNeedle } from '../src/physics/cavity/matched-needle.ts';
import { wickedAlong } from '../src/physics/cavity/wicking.ts';
import { arrheniusFactor } from '../src/physics/cure/arrhenius.ts';
import { cupCourse } from '../src/physics/cure/cup-heat.ts';
import { type CureModel, cureCurve } from '../src/physics/cure/cure.ts';
import { glassTransition } from '../src/physics/cure/glass.ts';
import { capContactDiameter, capVolume } from '../src/physics/drop/cap.ts';
import { fitContactAngle } from '../src/physics/drop/dot-calibration.ts';
import { readingVolumeError } from '../src/physics/drop/dot-reading.ts';
import { spreadingAngle } from '../src/physics/drop/dot-spreading.ts';
import { dropFromVolume } from '../src/physics/drop/drop.ts';
import { type NeedleFlow, needleFlow, needlePressureDrop } from '../src/physics/flow/needle-flow.ts';
import { findNeedle } from '../src/physics/flow/needle-table.ts';
import { rectangleResistance } from '../src/physics/flow/rectangle-flow.ts';
import { tubeFlowRate } from '../src/physics/flow/tube-flow.ts';
import { rebuildFactor } from '../src/physics/rheology/rebuild.ts';
import { type Rheology, yieldStressOf } from '../src/physics/rheology/rheology.ts';
import { loadRecipe } from '../src/recipe/format/load.ts';
import type { Recipe } from '../src/recipe/schema/recipe.ts';
import { capability } from '../src/stats/capability.ts';
import { controlChart } from '../src/stats/control-chart.ts';
import { gaugeAnova } from '../src/stats/gauge-rr.ts';
import { noParts, updateParts, withNewPart, withWander } from '../src/stats/part-filter.ts';
import { proportionInterval } from '../src/stats/proportion.ts';
import { combineUncertainty, uncertaintyOfHalfWidth } from '../src/stats/uncertainty.ts';
import { AIAG_GAUGE } from './fixtures/stats/aiag-gauge.ts';
import { PUROMYCIN } from './fixtures/stats/puromycin.ts';
import { readNonlinear } from './numeric/strd.ts';

const DEGREE = Math.PI / 180;
const KELVIN = 273.15;

function tube(rheology: Rheology, wallShearStress: number): number {
  return tubeFlowRate({ rheology, radius: 1e-3, wallShearStress });
}

function cured(cure: CureModel, age: number, temperature = 25 + KELVIN): number {
  return cureCurve({ cure, temperature }).factor(age);
}

/** The needle of `newtonian`: 0.4 mm by 10 mm, 2 Pa.s at 100 kPa. */
function plainNeedle(ends: 'entrance' | 'none'): NeedleFlow {
  const sections = [{ front: 0.4e-3, rear: 0.4e-3, length: 10e-3 }];
  return needleFlow({ rheology: { model: 'newtonian', viscosity: 2 }, sections, ends, pressure: 1e5, density: 1000 });
}

const leaf = (value: number) => ({ value, path: 'x', source: 'default' });
const BORE = [{ front: 126e-6, rear: 126e-6, length: 5.5e-3 }];
const WEIGHTLESS = { contactAngle: 32 * DEGREE, surfaceTension: 0.042, density: 1e-6 };

let demoRecipe: Promise<Recipe> | null = null;
/** `recipes/tide-gauge-pigtail.yaml`. */
function demo(): Promise<Recipe> {
  demoRecipe ??= loadRecipe(join(import.meta.dirname, '..', 'recipes', 'tide-gauge-pigtail.yaml'), nodeFileSystem).then(
    ({ recipe }) => recipe!,
  );
  return demoRecipe;
}

const book = async () => cavity(await demo()).result!;

/** The worked numbers of the pages of models, by our functions, in the units printed there. */
export const COMPUTED: Readonly<Record<string, () => number | Promise<number>>> = {
  newtonian: () => plainNeedle('none').flow,
  'power-law': () => tube({ model: 'power-law', consistency: 10, flowIndex: 0.5 }, 500),
  bingham: () => tube({ model: 'bingham', yieldStress: 50, viscosity: 1 }, 100),
  'herschel-bulkley': () => tube({ model: 'herschel-bulkley', yieldStress: 50, consistency: 10, flowIndex: 0.5 }, 100),
  casson: () => tube({ model: 'casson', yieldStress: 25, viscosity: 1 }, 100),
  cross: () => tube({ model: 'cross', zero: 1, infinity: 0, time: 1, m: 0.5 }, 0.5),
  'carreau-yasuda': () => tube({ model: 'carreau-yasuda', zero: 1, infinity: 0, time: 1, a: 1, n: 0.5 }, 1.5),
  'rheology-table': () =>
    tube(
      {
        model: 'table',
        points: [
          [1, 10],
          [100, 1],
        ],
      },
      50,
    ),
  ends: () => plainNeedle('entrance').endShare,
  cone: () =>
    needlePressureDrop({
      rheology: { model: 'newtonian', viscosity: 1 },
      ...{ sections: [{ front: 1e-3, rear: 0.5e-3, length: 10e-3 }], ends: 'none', flow: 1e-9 },
    }),
  reynolds: () => {
    const needle = {
      rheology: { model: 'newtonian', viscosity: 1 },
      sections: [{ front: 0.4e-3, rear: 0.4e-3, length: 10e-3 }],
    } as const;
    const pressure = needlePressureDrop({ ...needle, flow: 1e-9 });
    return needleFlow({ ...needle, pressure, density: 1150 }).reynolds!;
  },
  kinetic: () => plainNeedle('none').kineticShare!,
  'gauge-18': () => findNeedle('18')!.bore!.nominal,
  arrhenius: () =>
    arrheniusFactor({ activationEnergy: 60e3, temperature: 23 + KELVIN, referenceTemperature: 25 + KELVIN }),
  'pot-life': () =>
    cured(
      { model: 'pot-life', time: 3600, factor: 2, activationEnergy: 60e3, referenceTemperature: 25 + KELVIN },
      720,
      23 + KELVIN,
    ),
  roller: () => cured({ model: 'roller', rate: 1.6e7, activationEnergy: 63e3 }, 1800),
  'castro-macosko': () =>
    cured(
      {
        model: 'castro-macosko',
        ...{ A1: 1e-4, E1: 0, A2: 0, E2: 0, m: 1, n: 1, gelConversion: 0.55, c1: 1.5, c2: 1 },
      },
      3600,
    ),
  'cure-table': () =>
    cured(
      {
        model: 'table',
        points: [
          [0, 1],
          [1800, 2],
          [3600, 4],
        ],
        referenceTemperature: 25 + KELVIN,
      },
      900,
    ),
  'air-ideal': () => pulse({ model: 'ideal' }),
  'air-first-order': () => pulse({ model: 'first-order', rise: 0.06, fall: 0.08, delay: 0 }),
  'iso6358-choked': () =>
    valveMassFlow({ conductance: 1e-8, criticalRatio: 0.3, upstream: 6e5, downstream: 1e5, temperature: 20 + KELVIN }),
  'iso6358-fill': () =>
    filling({
      ...{ conductance: 1e-9, criticalRatio: 0.3, volume: 30e-6, temperature: 20 + KELVIN, exponent: 1 },
      ...{ from: 101325, supply: 601325 },
    }).timeAtGap(0.1 * 5e5),
  'bore-shot': () =>
    boreFill({
      needle: { sections: [{ front: 0.4e-3, rear: 0.4e-3, length: 12.7e-3 }], ends: 'none' },
      rheology: { model: 'newtonian', viscosity: 2 },
      ...{ cavity: BORE, netPressure: 200e3, wantedBead: 0 },
    }).timeToBead!,
  'entrance-lengths': () =>
    needleFlow({
      rheology: { model: 'newtonian', viscosity: 2 },
      ...{
        sections: [{ front: 0.4e-3, rear: 0.4e-3, length: 10e-3 }],
        entranceLengths: 4,
        pressure: 1e5,
        density: 1000,
      },
    }).flow,
  'yield-energy': async () => {
    const recipe = await demo();
    const rheology = { model: 'bingham', yield_stress: leaf(60), viscosity: leaf(2) } as const;
    const resin = { ...recipe.resin!, rheology, yield_activation_energy: leaf(20e3) };
    const { result } = resinCourse({ ...recipe, resin } as Recipe, { temperature: 15 + KELVIN });
    return yieldStressOf(result!.at(0).rheology);
  },
  rebuild: () => rebuildFactor({ factor: 1.5, time: 300, pause: 600 }),
  'bore-shot-row': () =>
    boreFill({
      needle: { sections: [{ front: 0.4e-3, rear: 0.4e-3, length: 12.7e-3 }], ends: 'none' },
      rheology: { model: 'newtonian', viscosity: 2 },
      ...{ cavity: BORE.map(bore => ({ ...bore, count: 12 })), netPressure: 200e3, wantedBead: 0 },
    }).timeToBead!,
  rectangle: () => 2.4e-9 * rectangleResistance({ width: 2e-3, height: 0.2e-3, length: 4e-3 }),
  'matched-needle': () =>
    matchedNeedle({
      rheology: { model: 'newtonian', viscosity: 2 },
      ...{ cavity: BORE, netPressure: 200e3, wantedBead: 0.02e-9, backfill: 2e-9, length: 12.7e-3 },
    })! * 1e9,
  'insert-drag': () =>
    2.4 * 1e-3 * dragLength({ stretches: [{ front: 126e-6, rear: 126e-6, length: 5.5e-3 }], fibre: 125e-6 }),
  'insert-buckling': () => bucklingLoad({ fibre: 125e-6, freeLength: 6.6e-3 }),
  'least-mass': () => leastMass({ ratio: 10, scale: 0.01, tolerance: 0.05 }),
  'adiabatic-rise': () => {
    const rate = (conversion: number, temperature: number) => 2e9 * Math.exp(-9000 / temperature) * (1 - conversion);
    const cup = {
      heatOfReaction: 340e3,
      heatCapacity: 1800,
      density: 1180,
      diameter: 0.04,
      wall: 0,
      room: 298.15,
      rate,
    };
    return cupCourse({ ...cup, mass: 0.02 }).peak - 298.15;
  },
  glass: () => glassTransition({ uncured: KELVIN - 28, cured: KELVIN + 112, lambda: 0.42 }, 0.9) - KELVIN,
  wicking: () =>
    wickedAlong({
      ...{ slits: [{ gap: 50e-6, length: 1 }], reservoirGap: Number.POSITIVE_INFINITY, surfaceTension: 0.042 },
      ...{ contactAngle: 0, fluidity: 60 / 2.4 },
    }).length * 1e3,
  spreading: () => {
    const dot = { volume: 2e-9, viscosity: 3, surfaceTension: 0.042, spreadLog: 10 };
    const contactAngle = spreadingAngle({ ...dot, contactAngle: 0, time: 1e14 });
    return (capContactDiameter({ volume: dot.volume, contactAngle }) / 2) * 1e3;
  },
  'cavity-lead-in': () => frustumVolume({ front: 126e-6, rear: 0.9e-3, length: 0.6e-3 }) * 1e9,
  seat: async () => (await book()).seat_mm!,
  'bore-shot-volume': async () => (await book()).bore_shot_uL!,
  'final-bead': async () => (await book()).final_bead_uL!,
  'backfill-min': async () => (await book()).backfill_min_uL!,
  cap: () => capVolume({ contactDiameter: 3e-3, contactAngle: 32 * DEGREE }) * 1e9,
  drop: () =>
    dropFromVolume({ volume: 1e-9, contactAngle: 30 * DEGREE, surfaceTension: 0.045, density: 1160 }).contactDiameter *
    1e3,
  reading: () => readingVolumeError({ ...WEIGHTLESS, seenDiameter: 3e-3, readingError: 0.1e-3 }),
  'dot-calibration': () =>
    fitContactAngle({ dots: [{ volume: 1.5618268e-9, diameter: 3e-3 }], ...WEIGHTLESS, readingError: 0.1e-3 })
      .contactAngle / DEGREE,
  'hold-back': async () => shot(await demo()).result!.hold_back!.full!.max_kPa,
  'shot-flow': async () => shot(await demo()).result!.flow_uL_per_s!,
  'setpoint-dwell': async () => ramp(await demo()).result!.shots[0]!.dwell_s,
  'ramp-last-dwell': async () => ramp(await demo()).result!.shots[87]!.dwell_s,
  'spread-first-order': () =>
    combineUncertainty([25, 9.7, 2.9, 16.6].map(uncertainty => ({ sensitivity: 1, uncertainty }))).uncertainty,
  'spread-uniform': () => uncertaintyOfHalfWidth(1, 'uniform'),
  fit: () => {
    const { x, y, starts } = readNonlinear('Misra1a');
    return fitLeastSquares({
      count: x.length,
      parameters: starts[0].map(start => ({ start })),
      residuals: (b, out) => {
        for (let i = 0; i < x.length; i++) out[i] = b[0]! * (1 - Math.exp(-b[1]! * x[i]!)) - y[i]!;
      },
    }).parameters[0]!;
  },
  follow: () => {
    let known = withNewPart(noParts(1), 0, 1);
    let gain = 0;
    for (let i = 0; i < 60; i++) {
      const update = updateParts(withWander(known, 0, 0.5), { value: 0, noise: 1, shared: 0 });
      known = update.known;
      gain = update.gain;
    }
    return gain;
  },
  release: () => {
    const { mean, halfWidth } = evidenceOf({ volumes: [1.8, 1.9, 2.0], shared: [] }, 0);
    return mean - halfWidth;
  },
  rehearsal: () => 100 * proportionInterval({ count: 0, of: 100 }).high,
  trend: () => {
    const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]; // NIST/SEMATECH e-Handbook 6.3.2.2
    return controlChart({ kind: 'imr', subgroups: flow.map(value => [value]) }).limits.upper;
  },
  capability: () => capability({ lower: 8, upper: 20, mean: 16, sd: 2, degreesOfFreedom: 49, count: 50 }).actual,
  profile: () => {
    const { x, y } = PUROMYCIN;
    const problem = {
      count: x.length,
      parameters: [{ start: 200 }, { start: 0.05 }],
      residuals: (p: Float64Array, out: Float64Array) => {
        for (const [i, v] of x.entries()) out[i] = y[i]! - (p[0]! * v) / (p[1]! + v);
      },
    };
    const fit = fitLeastSquares(problem);
    const limit = fit.sumOfSquares * (1 + 2.228139 ** 2 / 10); // t(0.975, 10) of any table
    return profileInterval({ problem, fit, parameter: 1, limit }).high!;
  },
  'gauge-rr': () => {
    const readings = Array.from({ length: 10 }, (_, part) =>
      (['A', 'B', 'C'] as const).map(operator => AIAG_GAUGE[operator].map(row => row[part]!)),
    );
    const study = gaugeAnova(readings);
    return (100 * study.gauge) / study.total;
  },
};

/** A shot of 2 µL/s steady flow and 0.5 s [µL]. */
function pulse(air: AirModel): number {
  const made = makeAirPulse({
    ...{ air, setPressure: 1e5, flow: () => 2e-9, flowConductance: 2e-14, friction: 0 },
    ...{ atmosphere: 101325, temperature: 20 + KELVIN },
  });
  return made.shot(0.5).volume * 1e9;
}
