import { DIMENSIONLESS, type Dimension, dimension } from './dimension.ts';

/** What a field is for: its dimension, how it is called, and the units that a message proposes. */
export interface KindFacts {
  readonly dimension: Dimension;
  /** With its article: "a pressure". */
  readonly name: string;
  /** The ones to propose first, commonest first. */
  readonly units: readonly string[];
  /** SI unit of the number inside, for messages and schema. */
  readonly si: string;
}

const PRESSURE = dimension(1, -1, -2);
const LENGTH = dimension(0, 1, 0);

const FACTS = {
  pressure: { dimension: PRESSURE, name: 'a pressure', units: ['kPa', 'bar', 'psi'], si: 'Pa' },
  stress: { dimension: PRESSURE, name: 'a stress', units: ['Pa', 'kPa'], si: 'Pa' },
  length: { dimension: LENGTH, name: 'a length', units: ['mm', 'um', 'in', 'mil'], si: 'm' },
  volume: { dimension: dimension(0, 3, 0), name: 'a volume', units: ['mL', 'cc', 'uL'], si: 'm^3' },
  mass: { dimension: dimension(1, 0, 0), name: 'a mass', units: ['mg', 'g'], si: 'kg' },
  time: { dimension: dimension(0, 0, 1), name: 'a time', units: ['s', 'min', 'h', 'ms'], si: 's' },
  viscosity: { dimension: dimension(1, -1, -1), name: 'a viscosity', units: ['Pa.s', 'mPa.s', 'cP', 'P'], si: 'Pa.s' },
  /** The exponent of the time goes with the flow index: see `parseConsistency`. */
  consistency: { dimension: dimension(1, -1, -1), name: 'a consistency', units: ['Pa.s^n', 'mPa.s^n'], si: 'Pa.s^n' },
  density: { dimension: dimension(1, -3, 0), name: 'a density', units: ['g/mL', 'g/cc', 'kg/m^3'], si: 'kg/m^3' },
  'surface tension': {
    dimension: dimension(1, 0, -2),
    name: 'a surface tension',
    units: ['mN/m', 'dyn/cm'],
    si: 'N/m',
  },
  temperature: {
    dimension: dimension(0, 0, 0, { temperature: 1 }),
    name: 'a temperature',
    units: ['degC', 'degF', 'K'],
    si: 'K',
  },
  angle: { dimension: dimension(0, 0, 0, { angle: 1 }), name: 'an angle', units: ['deg', 'rad'], si: 'rad' },
  'molar energy': {
    dimension: dimension(1, 2, -2, { amount: -1 }),
    name: 'a molar energy',
    units: ['kJ/mol', 'J/mol', 'kcal/mol'],
    si: 'J/mol',
  },
  rate: { dimension: dimension(0, 0, -1), name: 'a rate', units: ['1/s', '1/min'], si: '1/s' },
  conductance: {
    dimension: dimension(-1, 4, 1),
    name: 'a flow conductance',
    units: ['dm^3/(s.bar)', 'L/(min.bar)'],
    si: 'm^3/(s.Pa)',
  },
  /** A share that is always written with its sign: `3 %`. */
  percentage: { dimension: DIMENSIONLESS, name: 'a percentage', units: ['%'], si: '1' },
  /** A plain number; `1 ± 5 %` is relative to it. */
  factor: { dimension: DIMENSIONLESS, name: 'a plain number', units: [], si: '1' },
  'temperature difference': {
    dimension: dimension(0, 0, 0, { temperature: 1 }),
    name: 'a temperature difference',
    units: ['K'],
    si: 'K',
  },
  'heat transfer': {
    dimension: dimension(1, 0, -3, { temperature: -1 }),
    name: 'a heat transfer coefficient',
    units: ['W/(m^2.K)'],
    si: 'W/(m^2.K)',
  },
  'heat conductivity': {
    dimension: dimension(1, 1, -3, { temperature: -1 }),
    name: 'a heat conductivity',
    units: ['W/(m.K)'],
    si: 'W/(m.K)',
  },
  'specific energy': {
    dimension: dimension(0, 2, -2),
    name: 'an energy per mass',
    units: ['J/g', 'kJ/kg'],
    si: 'J/kg',
  },
  'heat capacity': {
    dimension: dimension(0, 2, -2, { temperature: -1 }),
    name: 'a heat capacity per mass',
    units: ['J/(g.K)', 'kJ/(kg.K)'],
    si: 'J/(kg.K)',
  },
  'volume flow': { dimension: dimension(0, 3, -1), name: 'a volume flow', units: ['uL/s', 'mL/min'], si: 'm^3/s' },
} satisfies Record<string, KindFacts>;

export type QuantityKind = keyof typeof FACTS;

export const QUANTITY_KINDS = Object.keys(FACTS) as QuantityKind[];

/** Facts of a kind. */
export function kindFacts(kind: QuantityKind): KindFacts {
  return FACTS[kind];
}

/** "kPa, bar or psi". */
export function unitChoice(kind: QuantityKind): string {
  const units = FACTS[kind].units;
  return units.length < 2 ? (units[0] ?? 'no unit') : `${units.slice(0, -1).join(', ')} or ${units.at(-1)}`;
}
