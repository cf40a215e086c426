import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import type { Quantity, Section } from '../recipe/schema/recipe.ts';
import { rule } from './rule.ts';

/** Particles of this share of a passage bridge it; common practice, no source. */
const SHARE = 1 / 3;

export const particlesTooLarge = rule(
  'particles-too-large',
  byCheck.warning(
    'The largest particles are too large for the smallest passage',
    'Filler grains that are more than a third of a passage wide bridge it sooner or later: the needle clogs, or the bore fills with resin that has lost its filler. A third is common practice, without a source.',
    'Take a wider needle or bore, or a resin with a finer filler; `resin.largest_particle` is the largest grain of its data sheet, not the mean.',
  ),
  ({ recipe, needle }, say) => {
    const particle = recipe.resin?.largest_particle;
    if (particle === undefined) return [];
    const places: Place[] = [...(needle.result?.sections ?? []), ...(recipe.connector?.cavity ?? [])].flatMap(widths);
    if (places.length === 0) return [];
    const smallest = places.reduce((least, place) => (place.width.value < least.width.value ? place : least));
    if (atMost(particle.value, smallest.width.value * SHARE)) return [];
    const message = `the largest particle is ${inWords(particle.value, 'µm')}, more than a third of the ${smallest.part}, ${inWords(smallest.width.value, 'µm')}`;
    return [say('resin.largest_particle', message)];
  },
);

interface Place {
  readonly part: string;
  readonly width: Quantity;
}

function widths({ part, front, rear }: Section): Place[] {
  return [front, rear].map(width => ({ part, width }));
}
