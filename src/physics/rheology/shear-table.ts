import { risingRoot } from '../../numeric/root.ts';

/** A flow curve of pieces τ = τᵢ·(γ̇/γ̇ᵢ)^nᵢ, with what tube flow needs of it in closed form. */
export interface ShearTable {
  /** [1/s], rising */ readonly rates: readonly number[];
  /** [Pa], rising */ readonly stresses: readonly number[];
  /** Flow index of the piece from point i to i + 1 [-]; the first and last also rule beyond the ends. */
  readonly indices: readonly number[];
  /** Q/(πR³) with the wall at point i [1/s]. */ readonly flows: readonly number[];
  readonly zeroShearViscosity: number;
  stressAt(rate: number): number;
  rateAt(stress: number): number;
  /** Q/(πR³) at a wall shear rate [1/s]. */ reducedFlowAt(rate: number): number;
  /** Stress and Q/(πR³) by the formulae of piece i. */
  stressIn(i: number, rate: number): number;
  flowIn(i: number, rate: number): number;
  /** Wall shear rate [1/s] at Q/(πR³). */ rateAtReducedFlow(flow: number): number;
}

const compiled = new WeakMap<readonly (readonly [number, number])[], ShearTable>();

/**
 * Compiles a measured flow curve; the result is kept for the same array.
 *
 *   between points  τ = τᵢ (γ̇/γ̇ᵢ)^nᵢ,  nᵢ = ln(τᵢ₊₁/τᵢ)/ln(γ̇ᵢ₊₁/γ̇ᵢ)
 *   tube flow piece by piece, with dτ = nᵢ τ dγ̇/γ̇ in Rabinowitsch's integral, so that every term is positive:
 *   q = Q/(πR³) = τw⁻³ ∫ τ² γ̇ dτ,  q τw³ = qᵢ τᵢ³ + nᵢ τᵢ³ γ̇ᵢ [(γ̇w/γ̇ᵢ)^(3nᵢ+1) − 1]/(3nᵢ + 1)
 *
 * Valid for: points checked by `rheologyProblems`; the end pieces are extended to rest and to any rate.
 * Shape: points in any order in, one object out.
 * Source: derived here from Weissenberg–Rabinowitsch.
 * Evidence: points on one power law give the power-law formula; points of a Newtonian curve give Hagen–Poiseuille;
 * adaptive quadrature of a curve with several pieces.
 */
export function shearTable(points: readonly (readonly [number, number])[]): ShearTable {
  let table = compiled.get(points);
  if (!table) {
    table = compile(points);
    compiled.set(points, table);
  }
  return table;
}

function compile(points: readonly (readonly [number, number])[]): ShearTable {
  const sorted = [...points].sort((p, q) => p[0] - q[0]);
  const rates = sorted.map(p => p[0]);
  const stresses = sorted.map(p => p[0] * p[1]);
  const pieces = rates.length - 1;
  const indices: number[] = [];
  for (let i = 0; i < pieces; i++) {
    indices.push(Math.log(stresses[i + 1]! / stresses[i]!) / Math.log(rates[i + 1]! / rates[i]!));
  }
  // qᵢ at each point [1/s]
  const n0 = indices[0]!;
  const flows = [(rates[0]! * n0) / (3 * n0 + 1)];
  const flowIn = (i: number, rate: number): number => {
    const n = indices[i]!;
    if (i === 0) return (rate * n) / (3 * n + 1);
    const ratio = rate / rates[i]!;
    const cubeRatio = ratio ** (-3 * n); // τᵢ³/τ³
    return flows[i]! * cubeRatio + (n * rates[i]! * (ratio - cubeRatio)) / (3 * n + 1);
  };
  for (let i = 0; i < pieces; i++) flows.push(flowIn(i, rates[i + 1]!));

  const stressIn = (i: number, rate: number) => stresses[i]! * (rate / rates[i]!) ** indices[i]!;
  return {
    rates,
    stresses,
    indices,
    flows,
    zeroShearViscosity: Math.abs(n0 - 1) < 1e-12 ? stresses[0]! / rates[0]! : n0 < 1 ? Number.POSITIVE_INFINITY : 0,
    stressAt: rate => (rate === 0 ? 0 : stressIn(pieceOf(rates, rate), rate)),
    rateAt: stress => {
      if (stress === 0) return 0;
      const i = pieceOf(stresses, stress);
      return rates[i]! * (stress / stresses[i]!) ** (1 / indices[i]!);
    },
    stressIn,
    flowIn,
    reducedFlowAt: rate => flowIn(pieceOf(rates, rate), rate),
    rateAtReducedFlow: flow => {
      const i = pieceOf(flows, flow);
      if (i === 0) return (flow * (3 * n0 + 1)) / n0;
      const logFlow = Math.log(flow);
      const x = risingRoot(
        x => {
          const rate = Math.exp(x);
          const q = flowIn(i, rate);
          return [Math.log(q) - logFlow, indices[i]! * (rate / q - 3)];
        },
        {
          start: Math.log(rates[i]!) + Math.log(flow / flows[i]!),
          low: Math.log(rates[i]!),
          // not beyond the piece, whose formula turns wrong there; the last one has no end
          ...(i < pieces - 1 ? { high: Math.log(rates[i + 1]!) } : {}),
        },
      );
      return Math.exp(x);
    },
  };
}

/** Index of the piece that a value lies in, given the rising values at the points; the end pieces are open. */
export function pieceOf(rising: readonly number[], value: number): number {
  let low = 0;
  let high = rising.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (value >= rising[middle]!) low = middle;
    else high = middle;
  }
  return low;
}
