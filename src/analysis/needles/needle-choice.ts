import { inWords } from '../../diagnostics/number-words.ts';
import type { Needle, Quantity, Recipe, WallClass } from '../../recipe/schema/recipe.ts';

/** A needle to compare: what is left out stays as in the recipe. */
export interface NeedleChoice {
  readonly gauge: string;
  readonly wall?: WallClass;
  readonly length?: number; // [m]
}

/** The recipe with another needle of the gauge table in it. */
export function withNeedle(recipe: Recipe, { gauge, wall, length }: NeedleChoice): Recipe {
  const { ends = 'entrance', contact_angle, length: own, wall: ownWall = 'regular' } = recipe.needle ?? {};
  const given: Quantity | undefined =
    length === undefined ? own : { value: length, path: 'needle.length', source: '--needles' };
  const needle = {
    ...{ gauge, wall: wall ?? ownWall, ends },
    ...(given === undefined ? {} : { length: given }),
    ...(contact_angle === undefined ? {} : { contact_angle }),
  };
  return { ...recipe, needle };
}

/** A needle as people call it: gauge and wall, or its bore, and the length. */
export function needleName({ gauge, wall, bore, length, sections }: Needle): string {
  const tip = sections?.at(-1)?.rear ?? bore;
  const what =
    gauge === undefined ? (tip === undefined ? 'needle' : `bore ${inWords(tip.value, 'mm')}`) : `${gauge} ${wall}`;
  const shape = sections?.length ? `${what}, in sections` : what;
  return length === undefined ? shape : `${shape} x ${inWords(length.value, 'mm')}`;
}
