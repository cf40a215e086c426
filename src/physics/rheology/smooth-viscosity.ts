import { risingRoot } from '../../numeric/root.ts';
import type { CarreauYasuda, CrossRheology } from './rheology.ts';

/** ln γ̇ at a stress above zero. */
export function logRateAt(r: CrossRheology | CarreauYasuda, shearStress: number): number {
  const logStress = Math.log(shearStress);
  return risingRoot(
    x => {
      const { viscosity, index } = smoothViscosity(r, Math.exp(x));
      return [x + Math.log(viscosity) - logStress, index];
    },
    { start: logStress - Math.log(r.zero) },
  );
}

interface LocalViscosity {
  readonly viscosity: number;
  readonly index: number;
}

/**
 * Viscosity [Pa·s] and local flow index d ln τ/d ln γ̇ [-] of the two models that are smooth down to rest.
 * No checks: the inner loop of the tube-flow integrals.
 */
export function smoothViscosity(r: CrossRheology | CarreauYasuda, shearRate: number): LocalViscosity {
  const difference = r.zero - r.infinity;
  if (r.model === 'cross') {
    const y = (r.time * shearRate) ** r.m;
    const part = difference / (1 + y);
    const viscosity = r.infinity + part;
    // y/(1+y) written so that it stays finite when y does not
    return { viscosity, index: 1 - (part * r.m) / (1 + 1 / y) / viscosity };
  }
  const y = (r.time * shearRate) ** r.a;
  const part = difference * (1 + y) ** ((r.n - 1) / r.a);
  const viscosity = r.infinity + part;
  return { viscosity, index: 1 + (part * (r.n - 1)) / (1 + 1 / y) / viscosity };
}
