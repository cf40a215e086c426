import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { insertFinding } from '../../diagnostics/codes/insert-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { bucklingLoad, FIBRE_MODULUS, pistonLength, type WettedStretch } from '../../physics/cavity/insertion.ts';
import type { Recipe, Section } from '../../recipe/schema/recipe.ts';
import { type ResinConditions, type ResinCourse, resinCourse } from '../delivery/resin-course.ts';
import { dragForce, type FibrePath, gapViscosity, greatestSpeed, OFF_AXIS } from './insertion-force.ts';
import { runAges } from './run-ages.ts';

export interface InsertOptions extends ResinConditions {
  /** Of the resin [s]; default: at the first and at the last shot of the program in force. */
  readonly age?: number;
}

/** At one age of the resin. */
export interface InsertionKeys {
  readonly age_min: number;
  /** In the gap, at 1 mm/s. */
  readonly viscosity_Pa_s: number;
  /** At full insertion, centred, for 1 mm/s. */
  readonly drag_N_per_mm_s: number;
  readonly drag_eccentric_N_per_mm_s: number;
  /** Push of the resin ahead on the face of the fibre as it enters the bore, for 1 mm/s. */
  readonly piston_N_per_mm_s: number;
  /** At which the drag would buckle the free fibre. */
  readonly greatest_speed_mm_s: { readonly centred: number; readonly eccentric: number };
}

/** Forces and loads are those of one fibre. */
export interface InsertResult extends InsertionKeys {
  /** That go in together: the push on the whole row is so many times that of one. */
  readonly fibres: number;
  readonly buckling_N: number;
  readonly free_fibre_mm: number;
  readonly fibre_um: number;
  readonly bore_um: number;
  /** Of one side, with the fibre centred. */
  readonly gap_um: number;
  /** Bore and lead-in around the fibre once it is in. */
  readonly wetted_mm: number;
  /** At the last shot; null with an age of its own, or where no run can be worked out. */
  readonly last: InsertionKeys | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

const PER_MM_S = 1e-3; // [m/s]

/**
 * What it takes to push the fibre into its resin-filled bore: the drag, the load that buckles the free fibre, and the
 * greatest speed between the two, at the first and the last shot of a syringe.
 *
 *   drag 2π·η·v·L/ln(D/d), off the axis 2π·η·v·L/acosh((D² + d² − 4e²)/(2·D·d)), η at the shear v/gap; π²·E·I/l², pinned ends
 */
export function insert(recipe: Recipe, options: InsertOptions = {}): Outcome<InsertResult> {
  const path = fibrePath(recipe);
  if (path.result === null) return { result: null, findings: path.findings };
  const course = resinCourse(recipe, options, 'putting the fibre in');
  if (course.result === null) return { result: null, findings: course.findings };
  const ages =
    options.age === undefined ? runAges(recipe) : { result: { first: options.age, last: null }, findings: [] };
  const { first, last } = ages.result;
  const { lastAge } = course.result;
  if (lastAge !== null && first > lastAge) {
    const message = 'at this age the resin is past 90 % of its gel age';
    return { result: null, findings: [insertFinding('insert-too-late', 'resin.cure', message)] };
  }
  const { fibre, bore, stretches, freeFibre } = path.result;
  const at = (age: number) => insertionAt(path.result!, course.result!, age);
  const result: InsertResult = {
    ...at(first),
    fibres: recipe.connector?.cable?.[0]?.count ?? 1,
    buckling_N: bucklingLoad({ fibre, freeLength: freeFibre }),
    free_fibre_mm: freeFibre * 1e3,
    fibre_um: fibre * 1e6,
    bore_um: bore * 1e6,
    gap_um: ((bore - fibre) / 2) * 1e6,
    wetted_mm: stretches.reduce((sum, { length }) => sum + length, 0) * 1e3,
    last: last === null ? null : at(last),
    models: course.result.models,
    defaults: [
      `fibre of ${FIBRE_MODULUS / 1e9} GPa, from memory`,
      ...(recipe.connector?.free_fibre === undefined ? ['connector.free_fibre: the first section of the cable'] : []),
      ...course.result.defaults,
    ],
  };
  return { result, findings: [...ages.findings, ...course.findings, ...slowFindings(result, recipe)] };
}

function insertionAt(path: FibrePath & { freeFibre: number }, course: ResinCourse, age: number): InsertionKeys {
  const { fibre, bore, stretches, freeFibre } = path;
  const resin = course.at(age).rheology;
  const load = bucklingLoad({ fibre, freeLength: freeFibre });
  const drag = (eccentricity: number) => dragForce(path, resin, { speed: PER_MM_S, eccentricity });
  const speed = (eccentricity: number) => greatestSpeed(path, resin, { load, eccentricity }) * 1e3;
  const viscosity = gapViscosity(path, resin, PER_MM_S);
  return {
    age_min: age / 60,
    viscosity_Pa_s: viscosity,
    drag_N_per_mm_s: drag(0),
    drag_eccentric_N_per_mm_s: drag(OFF_AXIS),
    piston_N_per_mm_s: viscosity * PER_MM_S * pistonLength({ ahead: stretches[0]!.length, bore, fibre }),
    greatest_speed_mm_s: { centred: speed(0), eccentric: speed(OFF_AXIS) },
  };
}

/** Bore and, where a cone follows it, lead-in, as far as bare fibre stands in them once it is in. */
function fibrePath({ connector }: Recipe): Outcome<FibrePath & { freeFibre: number }> {
  const purpose = 'putting the fibre in';
  const bore = connector?.cavity?.[0];
  const fibre = connector?.cable?.[0];
  if (bore === undefined) return { result: null, findings: [blockMissing('connector.cavity', purpose)] };
  if (fibre === undefined) return { result: null, findings: [blockMissing('connector.cable', purpose)] };
  const flat = [bore, fibre].find(({ sides }) => sides !== undefined);
  if (flat !== undefined) {
    const message = `${flat.part} is a rectangle: drag is known for a round fibre in a round bore`;
    return { result: null, findings: [insertFinding('insert-not-round', flat.sides!.width.path, message)] };
  }
  const diameter = Math.max(fibre.front.value, fibre.rear.value);
  const tight = [bore.front, bore.rear].find(({ value }) => value <= diameter);
  if (tight !== undefined) {
    const message = `the fibre is ${inWords(diameter, 'µm')} thick, its bore ${inWords(tight.value, 'µm')} wide: there is no gap`;
    return { result: null, findings: [insertFinding('insert-no-gap', bore.path, message)] };
  }
  const cone = connector!.cavity![1];
  // a cone that all fibres share is no film around each
  const own = cone !== undefined && cone.count === bore.count && cone.front.value !== cone.rear.value;
  const wetted = own ? [bore, cone] : [bore];
  const inside = fibre.length.value - connector!.protrusion.value;
  const stretches = cutAt(wetted, inside);
  if (stretches.length === 0) {
    const message = `${inWords(fibre.length.value, 'mm')} of fibre do not reach back into the bore`;
    return { result: null, findings: [insertFinding('insert-no-gap', fibre.path, message)] };
  }
  const width = Math.min(bore.front.value, bore.rear.value);
  const freeFibre = (connector!.free_fibre ?? fibre.length).value;
  return { result: { fibre: diameter, bore: width, stretches, freeFibre }, findings: [] };
}

function cutAt(sections: readonly Section[], inside: number): WettedStretch[] {
  const stretches: WettedStretch[] = [];
  let from = 0;
  for (const { front, rear, length } of sections) {
    const used = Math.min(length.value, inside - from);
    if (used <= 0) break;
    const end = front.value + ((rear.value - front.value) * used) / length.value;
    stretches.push({ length: used, front: front.value, rear: end });
    from += length.value;
  }
  return stretches;
}

/** Below this [mm/s] a careful hand is too fast; ours, no source. */
const SLOW = 0.1;

function slowFindings({ greatest_speed_mm_s: now, last }: InsertResult, { connector }: Recipe): Finding[] {
  const slowest = Math.min(now.eccentric, last?.greatest_speed_mm_s.eccentric ?? now.eccentric);
  if (slowest >= SLOW) return [];
  const message = `the free fibre buckles at ${Number(slowest.toPrecision(2))} mm/s where it lies to one side of its bore`;
  return [insertFinding('insert-slow', connector?.free_fibre?.path ?? 'connector.cable', message)];
}
