import { DomainError } from '../../numeric/domain-error.ts';
import { type OdeEvent, solveOde } from '../../numeric/ode.ts';
import { CONVERSION_DEFAULTS, conversionRate } from './castro-macosko.ts';
import type { CastroMacosko } from './cure-model.ts';
import { conversionOfGlass, GLASS_BEYOND, type GlassModel, glassSlope, glassTransition } from './glass.ts';
import { requireTemperatureProfile, temperatureAt } from './temperature-profile.ts';

export interface OvenCureInput {
  cure: CastroMacosko;
  /** [s from the start of the oven, K], straight between them; the last point ends it. */
  profile: readonly (readonly [number, number])[];
  /** Conversion when the oven starts [-]. */
  start: number;
  /** Absent: the glass never stops the reaction. */
  glass?: GlassModel;
  /** How far above the temperature the glass transition stops the reaction [K]. */
  beyond?: number;
}

export interface OvenCure {
  /** Conversion [-] at a time [s] from the start of the oven. */
  at(time: number): number;
  /** Conversion at the end [-]. */
  readonly end: number;
  /** Time of the gel point [s]: 0 where it was passed before, null where it is not reached. */
  readonly gelTime: number | null;
  /** When the glass first stops the reaction [s], or null. */
  readonly vitrifiedTime: number | null;
}

interface Piece {
  readonly to: number;
  readonly at: (time: number) => number;
}

/**
 * Conversion along an oven profile, past the gel point to the end.
 *
 *   dα/dt = (k₁ + k₂·αᵐ)(1 − α)ⁿ, and 0 while T_g(α) > T + beyond
 *
 * While the oven warms a resin that the glass holds back, α follows T_g(α) = T + beyond for as long as the reaction would be
 * faster than that.
 * Throws: DomainError for a profile that makes no sense, one of a single point, or a start outside 0 to 1.
 * Source: Kamal & Sourour, Polym. Eng. Sci. 13 (1973) 59-64; the glass as in {@link GlassModel}; a sharp stop is ours.
 * Evidence: isothermal closed forms of nth order; a profile of one temperature; a glass that is never reached.
 */
export function ovenCure(input: OvenCureInput): OvenCure {
  const { cure, profile, start, glass, beyond = GLASS_BEYOND } = input;
  requireTemperatureProfile(profile);
  if (profile.length < 2) throw new DomainError('profile.length', profile.length, '-', 'at least 2');
  if (!(start >= 0 && start <= 1)) throw new DomainError('start', start, '-', 'from 0 to 1');
  const pieces: Piece[] = [];
  let gelTime = start >= cure.gelConversion ? 0 : null;
  let vitrifiedTime: number | null = null;
  let conversion = start;
  let time = profile[0]![0];

  for (let i = 1; i < profile.length; i++) {
    const to = profile[i]![0];
    const warming = (profile[i]![1] - profile[i - 1]![1]) / (to - profile[i - 1]![0]); // [K/s]
    const temperature = (t: number) => temperatureAt(profile, t);
    const reaction = (t: number, alpha: number) => conversionRate(cure, alpha, temperature(t));
    const limit = (t: number) => conversionOfGlass(glass!, temperature(t) + beyond);
    const sliding = (alpha: number) => warming / glassSlope(glass!, alpha);
    const run = (rate: (t: number, alpha: number) => number, stop: OdeEvent | null) => {
      const end = solveOde({
        derivative: (t, y, dy) => {
          dy[0] = rate(t, y[0]!);
        },
        ...{ from: time, to, initial: [conversion], relative: CONVERSION_DEFAULTS.relative, absolute: 1e-16 },
        event: [
          { value: (_, y) => y[0]! - cure.gelConversion, direction: 1, terminal: false },
          ...(stop ? [stop] : []),
        ],
        onStep: step => pieces.push({ to: step.to, at: t => shareOf(step.at(t)[0]!) }),
      });
      gelTime ??= end.passed[0]?.t ?? null;
      time = end.t;
      conversion = shareOf(end.y[0]!);
    };
    const hold = (until: number) => {
      const held = conversion;
      pieces.push({ to: until, at: () => held });
      time = until;
    };

    while (time < to) {
      if (glass === undefined) {
        run(reaction, null);
      } else if (conversion < limit(time) * (1 - 1e-12)) {
        run(reaction, { value: (t, y) => y[0]! - limit(t), direction: 1 });
      } else {
        vitrifiedTime ??= time;
        // The oven has to warm up to where this glass would soften before anything goes on.
        const softens =
          warming > 0 ? time + (glassTransition(glass, conversion) - beyond - temperature(time)) / warming : to;
        if (conversion >= 1 || softens >= to) hold(to);
        else if (softens > time * (1 + 1e-12)) hold(softens);
        else if (reaction(time, conversion) > sliding(conversion)) {
          run((_, alpha) => sliding(alpha), { value: (t, y) => reaction(t, y[0]!) - sliding(y[0]!), direction: -1 });
        } else run(reaction, { value: (t, y) => y[0]! - limit(t), direction: 1 });
      }
    }
  }
  const at = (t: number) => (pieces.find(piece => t <= piece.to) ?? pieces.at(-1)!).at(Math.min(t, time));
  return { at: t => (t <= profile[0]![0] ? start : at(t)), end: conversion, gelTime, vitrifiedTime };
}

/** A rounding below zero or above one is none. */
function shareOf(conversion: number): number {
  return Math.min(1, Math.max(0, conversion));
}
