import { ovenFinding } from '../../diagnostics/codes/oven-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inCelsius, inPercent, inWords } from '../../diagnostics/number-words.ts';
import { stackVolume } from '../../physics/cavity/cavity.ts';
import { freeVolume, type Gap } from '../../physics/cavity/gap.ts';
import { glassTransition } from '../../physics/cure/glass.ts';
import { temperatureAt } from '../../physics/cure/temperature-profile.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type CavityBook, cavityBook } from '../cavity/cavity-book.ts';
import { runAges } from '../insert/run-ages.ts';
import { type Oven, type OvenCourse, ovenCourse, ovenOf, SLOW_SHEAR } from './oven-course.ts';
import { type ReachBound, wickedReach } from './wicked-reach.ts';

export interface OvenOptions {
  /** Of the resin when the connector goes into the oven [s]; default: at the first and at the last shot of the program in force. */
  readonly age?: number;
}

/** What the oven makes of one connector. */
export interface OvenKeys {
  readonly age_min: number;
  readonly conversion_start: number;
  readonly conversion_end: number;
  /** From the start of the oven; null where the resin does not gel in it. */
  readonly gel_min: number | null;
  readonly glass_end_C: number | null;
  /** Over what is required. */
  readonly glass_margin_K: number | null;
  /** When the glass first stops the cure; null where it never does. */
  readonly vitrified_min: number | null;
  /** Drawn in behind the reach until gel. */
  readonly wicking_mm: number | null;
  readonly reach_end_mm: number | null;
  /** What keeps it from going further. */
  readonly wicking_bound: ReachBound | null;
  readonly bead_recess_um: number | null;
}

export interface OvenPoint {
  readonly min: number;
  readonly temperature_C: number;
  readonly conversion: number;
  readonly glass_C: number | null;
}

export interface OvenResult extends OvenKeys {
  /** At the last shot; null with an age of its own, or where no run can be worked out. */
  readonly last: OvenKeys | null;
  readonly oven_min: number;
  readonly warmest_C: number;
  readonly gel_conversion: number;
  readonly required_glass_C: number | null;
  readonly reach_max_mm: number | null;
  /** Radial: behind the reach, and the widest that is filled. */
  readonly gap_um: number | null;
  readonly widest_gap_um: number | null;
  /** Of the first shot, for a chart. */
  readonly course: readonly OvenPoint[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** Points of the course beside the corners of the profile. */
const COURSE_STEPS = 120;

/**
 * What the oven makes of a connector: conversion, gel point, glass transition, what is drawn in behind the reach before the resin
 * sets, and how far the bead sinks, at the first and at the last shot of a syringe.
 */
export function oven(recipe: Recipe, options: OvenOptions = {}): Outcome<OvenResult> {
  const made = ovenOf(recipe);
  if (made.result === null) return { result: null, findings: made.findings };
  const ages =
    options.age === undefined ? runAges(recipe) : { result: { first: options.age, last: null }, findings: [] };
  const { first, last } = ages.result;
  const atFirst = ovenCourse(recipe, made.result, first);
  if (atFirst.result === null) return { result: null, findings: atFirst.findings };
  const atLast = last === null ? null : ovenCourse(recipe, made.result, last);
  if (atLast?.result === null) return { result: null, findings: atLast.findings };
  const book = recipe.connector?.cavity?.length ? cavityBook(recipe).result : null;
  const p = { recipe, oven: made.result, book };
  const keys = ovenKeys(p, atFirst.result, first);
  const lastKeys = atLast === null || last === null ? null : ovenKeys(p, atLast.result, last).keys;
  const result = resultOf(p, { course: atFirst.result, ...keys, last: lastKeys });
  return { result, findings: [...ages.findings, ...ovenFindings(recipe, result)] };
}

interface Parts {
  readonly recipe: Recipe;
  readonly oven: Oven;
  readonly book: CavityBook | null;
}

interface Keys {
  readonly keys: OvenKeys;
  readonly gap: number | null;
  readonly widest: number | null;
}

function ovenKeys({ recipe, oven: { profile, cure, glass }, book }: Parts, course: OvenCourse, age: number): Keys {
  const from = profile[0]![0];
  const minutes = (time: number | null) => (time === null ? null : Math.max(0, time - from) / 60);
  const transition = glass === null ? null : glassTransition(glass, course.end);
  const required = recipe.resin?.glass?.required?.value;
  const tension = recipe.resin?.surface_tension?.value;
  const wicked =
    book === null || tension === undefined || course.fluidity === null
      ? null
      : wickedReach(book, {
          fluidity: course.fluidity,
          surfaceTension: tension,
          contactAngle: recipe.connector?.gap_contact_angle?.value ?? 0,
          gelled: course.gelTime !== null,
        });
  return {
    keys: {
      age_min: age / 60,
      conversion_start: course.start,
      conversion_end: course.end,
      gel_min: minutes(course.gelTime),
      glass_end_C: transition === null ? null : transition - 273.15,
      glass_margin_K: transition === null || required === undefined ? null : transition - required,
      vitrified_min: minutes(course.vitrifiedTime),
      wicking_mm: wicked === null ? null : wicked.length * 1e3,
      reach_end_mm: wicked === null ? null : (book!.reach.aim! + wicked.length) * 1e3,
      wicking_bound: wicked?.bound ?? null,
      bead_recess_um: beadRecess(recipe, book, Math.max(0, course.end - cure.gelConversion)),
    },
    gap: wicked?.gap ?? null,
    widest: wicked?.widest ?? null,
  };
}

/**
 * How far the bead sinks [µm]: shrinkage after the gel point of bead and bore, over the contact area of the bead.
 *
 *   shrinkage·(α_end − α_gel)·(final bead + free bore)/(π·d²/4), each of one bore with its fibre
 */
function beadRecess({ resin }: Recipe, book: CavityBook | null, afterGel: number): number | null {
  const shrinkage = resin?.shrinkage?.value;
  if (shrinkage === undefined || book === null || book.gap === null) return null;
  const { finalBead, finalBeadDiameter } = book;
  if (finalBead === null || finalBeadDiameter === null || !(finalBeadDiameter > 0)) return null;
  const volume = finalBead + freeBore({ ...book, gap: book.gap });
  return ((shrinkage * afterGel * volume) / ((Math.PI / 4) * finalBeadDiameter ** 2)) * 1e6;
}

/** Volume [m³] that a fibre leaves free in its bore; bores may be more than fibres. */
function freeBore({ gap, boreRear, beads, cable, displaced }: CavityBook & { gap: Gap }): number {
  const fibres = cable?.pieces[0]?.count ?? 1;
  if (fibres === beads) return freeVolume(gap, { from: 0, to: boreRear }) / beads;
  return stackVolume(gap.cavity, { from: 0, to: boreRear }) / beads - (displaced ?? 0) / fibres;
}

function resultOf(p: Parts, made: Keys & { course: OvenCourse; last: OvenKeys | null }): OvenResult {
  const { recipe, oven: own } = p;
  const { profile, cure, glass, beyond } = own;
  const times = coursePoints(profile.map(([time]) => time));
  const micro = (length: number | null) => (length === null ? null : length * 1e6);
  const required = recipe.resin?.glass?.required?.value;
  return {
    ...made.keys,
    last: made.last,
    oven_min: (profile.at(-1)![0] - profile[0]![0]) / 60,
    warmest_C: Math.max(...profile.map(([, at]) => at)) - 273.15,
    gel_conversion: cure.gelConversion,
    required_glass_C: required === undefined ? null : required - 273.15,
    reach_max_mm: recipe.connector?.reach === undefined ? null : recipe.connector.reach.max.value * 1e3,
    gap_um: micro(made.gap),
    widest_gap_um: micro(made.widest),
    course: times.map(time => {
      const conversion = made.course.at(time);
      return {
        min: (time - profile[0]![0]) / 60,
        temperature_C: temperatureAt(profile, time) - 273.15,
        conversion,
        glass_C: glass === null ? null : glassTransition(glass, conversion) - 273.15,
      };
    }),
    models: ['cure castro-macosko', ...(glass === null ? [] : ['glass transition DiBenedetto']), 'wicking Washburn'],
    defaults: [
      ...(recipe.connector?.gap_contact_angle === undefined ? ['connector.gap_contact_angle: 0 deg'] : []),
      ...(glass !== null && recipe.resin?.glass?.beyond.source === 'default'
        ? [`resin.glass.beyond: ${beyond} K, ours, without a source`]
        : []),
      `viscosity in the gap at ${SLOW_SHEAR} 1/s, ours, without a source`,
    ],
  };
}

function coursePoints(corners: readonly number[]): number[] {
  const [from, to] = [corners[0]!, corners.at(-1)!];
  const even = Array.from({ length: COURSE_STEPS + 1 }, (_, i) => from + ((to - from) * i) / COURSE_STEPS);
  const few = corners.length <= COURSE_STEPS ? corners : [];
  return [...new Set([...even, ...few])].sort((a, b) => a - b);
}

/** What the oven leaves undone, at the first or at the last shot, whichever is worse. */
export function ovenFindings(recipe: Recipe, result: OvenResult): Finding[] {
  const all: OvenKeys[] = [result, ...(result.last === null ? [] : [result.last])];
  const out: Finding[] = [];
  const ungelled = all.find(({ gel_min }) => gel_min === null);
  if (ungelled !== undefined) {
    const message = `the oven ends at a conversion of ${inPercent(ungelled.conversion_end)}, the resin gels at ${inPercent(result.gel_conversion)}`;
    out.push(ovenFinding('oven-no-gel', 'process.oven', message));
  }
  const low = Math.min(...all.map(({ glass_margin_K: margin }) => margin ?? Number.POSITIVE_INFINITY));
  if (low < 0) {
    const required = recipe.resin!.glass!.required!.value;
    const message = `the glass transition ends at ${inCelsius(required + low)}, required are ${inCelsius(required)}`;
    out.push(ovenFinding('oven-glass-low', recipe.resin!.glass!.required!.path, message));
  }
  const far = Math.max(...all.map(({ reach_end_mm: reach }) => reach ?? 0)) / 1e3;
  const max = recipe.connector?.reach?.max;
  if (max !== undefined && far > max.value * (1 + 1e-9)) {
    const message = `until it sets the resin is drawn back to ${inWords(far, 'mm')}, ${inWords(max.value, 'mm')} is the greatest reach`;
    out.push(ovenFinding('oven-reach', max.path, message));
  }
  return out;
}
