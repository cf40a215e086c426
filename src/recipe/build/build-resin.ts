import type { Leaf } from '../schema/leaf.ts';
import type { CureBlock, Quantity, Resin, RheologyBlock } from '../schema/recipe.ts';
import type { RecipeData } from '../schema/recipe-schema.ts';
import type { BuildContext } from './build-context.ts';
import { compact } from './compact.ts';

type ResinData = NonNullable<RecipeData['resin']>;
type DotData = NonNullable<ResinData['dot']>;

/** Defaults of the resin [SI]. */
const DEFAULTS = { referenceTemperature: 298.15, lotFactor: 1, readingError: 1e-4 };

/** The resin of its data. */
export function buildResin(r: ResinData, ctx: BuildContext): Resin {
  const at = (key: string) => `resin.${key}`;
  return compact({
    name: r.name,
    density: ctx.maybe(r.density, at('density')),
    surface_tension: ctx.maybe(r.surface_tension, at('surface_tension')),
    rheology: r.rheology && buildModel<RheologyBlock>(r.rheology, at('rheology'), ctx),
    reference_temperature: ctx.or(r.reference_temperature, at('reference_temperature'), DEFAULTS.referenceTemperature),
    activation_energy: ctx.maybe(r.activation_energy, at('activation_energy')),
    lot_factor: ctx.or(r.lot_factor, at('lot_factor'), DEFAULTS.lotFactor),
    cure: r.cure === undefined ? { model: 'none' as const } : buildModel<CureBlock>(r.cure, at('cure'), ctx),
    dot: r.dot && buildDot(r.dot, ctx),
  });
}

function buildDot(d: DotData, ctx: BuildContext): NonNullable<Resin['dot']> {
  const at = (key: string) => `resin.dot.${key}`;
  return compact({
    contact_angle: ctx.maybe(d.contact_angle, at('contact_angle')),
    calibration: d.calibration?.map(({ mass, shots, diameter }, i) => ({
      mass: ctx.quantity(mass, at(`calibration[${i}].mass`)),
      shots: shots ?? 1,
      diameter: ctx.quantity(diameter, at(`calibration[${i}].diameter`)),
    })),
    read_after: ctx.maybe(d.read_after, at('read_after')),
    surface: d.surface,
    reading_error: ctx.or(d.reading_error, at('reading_error'), DEFAULTS.readingError),
  });
}

type ModelData = { readonly model: string } & { readonly [key: string]: unknown };

/**
 * A model block: every leaf becomes a quantity under its own key, `points` a table. The schema has seen to it that a
 * model has its own parameters and no others, so the keys of data and block are the same.
 */
function buildModel<B extends RheologyBlock | CureBlock>(data: ModelData, path: string, ctx: BuildContext): B {
  const block: Record<string, string | Quantity | (readonly [Quantity, Quantity])[]> = { model: data.model };
  for (const [key, value] of Object.entries(data)) {
    if (key === 'model' || key === 'name' || key === 'notes' || value === undefined) continue;
    block[key] = Array.isArray(value)
      ? ctx.points(value as [Leaf, Leaf][], `${path}.${key}`)
      : ctx.quantity(value as Leaf, `${path}.${key}`);
  }
  return block as unknown as B;
}
