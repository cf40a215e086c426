import { cavityBook } from '../../../src/analysis/cavity/cavity-book.ts';
import { operatingPoint } from '../../../src/analysis/delivery/operating-point.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const { PI } = Math;
export const VISCOSITY = 2.4; // [Pa.s]
export const SET = 210e3; // [Pa]
/** Set less the friction of the plunger [Pa]. */
export const NET = 207e3;

/** A resin that does not age, at its reference temperature, without surface tension: what is left is Poiseuille's law. */
export function plainRecipe(overrides: Record<string, unknown> = {}) {
  return exampleRecipe({
    ...{ 'resin.cure': { model: 'none' }, 'process.temperature': 298.15, 'resin.surface_tension': null },
    ...{ 'process.stop_at': null, ...overrides },
  });
}

export function bookAndPoint(recipe: ReturnType<typeof plainRecipe>) {
  return { book: cavityBook(recipe).result!, point: operatingPoint(recipe, {}).result! };
}

/** Resistance of a needle whose entrance lengthens it by 3π/16 of its radius (Sampson; Weissberg 1962) [Pa.s/m³]. */
export function needleResistance(bore: number, length: number): number {
  return (128 * VISCOSITY * (length + ((3 * PI) / 32) * bore)) / (PI * bore ** 4);
}

/** What lies ahead of a 22 gauge needle in the example connector: the end of its cone, then the bore [m]. */
const OUTSIDE = 0.02825 * 25.4e-3;
const [BORE, BORE_LENGTH] = [126e-6, 5.5e-3];
export const CONE_LENGTH = (0.6e-3 * (OUTSIDE - BORE)) / (0.9e-3 - BORE);

/** Volume and resistance from the seat on to so far a place, by slices. */
function filled(to: number): { volume: number; resistance: number; weighted: number } {
  const slices = 40_000;
  const dx = to / slices;
  let [volume, resistance, weighted] = [0, 0, 0];
  for (let i = 0; i < slices; i++) {
    const x = (i + 0.5) * dx;
    const d = x < CONE_LENGTH ? OUTSIDE - ((OUTSIDE - BORE) * x) / CONE_LENGTH : BORE;
    const dV = (PI / 4) * d ** 2 * dx;
    const dR = (128 * VISCOSITY * dx) / (PI * d ** 4);
    weighted += (resistance + dR / 2) * dV; // ∫ R dV: the front meets what is behind it
    [volume, resistance] = [volume + dV, resistance + dR];
  }
  return { volume, resistance, weighted };
}

export const AHEAD = filled(CONE_LENGTH + BORE_LENGTH);

/** A cap of 0.5 mm across its base with an edge of 60 degrees: π a³ (2 − 3 cos θ + cos³ θ)/(3 sin³ θ). */
export const BEAD = (() => {
  const [a, angle] = [0.25e-3, PI / 3];
  const cos = Math.cos(angle);
  return (PI * a ** 3 * (2 - 3 * cos + cos ** 3)) / (3 * Math.sin(angle) ** 3);
})();
