import { DIMENSIONLESS, type Dimension, dimension, timesPower } from './dimension.ts';

/** One unit: SI value = (number + offset) · factor / divisor. Two integers keep 126 um at exactly 126/1e6. */
export interface Unit {
  readonly factor: number;
  readonly divisor: number;
  readonly offset: number;
  readonly dimension: Dimension;
}

const MASS = dimension(1, 0, 0);
const LENGTH = dimension(0, 1, 0);
const TIME = dimension(0, 0, 1);
const TEMPERATURE = dimension(0, 0, 0, { temperature: 1 });
const AMOUNT = dimension(0, 0, 0, { amount: 1 });
const ANGLE = dimension(0, 0, 0, { angle: 1 });
const VOLUME = dimension(0, 3, 0);
const FORCE = dimension(1, 1, -2);
const PRESSURE = dimension(1, -1, -2);
const VISCOSITY = dimension(1, -1, -1);
const ENERGY = dimension(1, 2, -2);
const POWER = dimension(1, 2, -3);

/** SI prefixes as [factor, divisor]; `u` also stands for both micro signs, which are rewritten before the look-up. */
const PREFIXES: Readonly<Record<string, readonly [number, number]>> = {
  n: [1, 1e9],
  u: [1, 1e6],
  m: [1, 1e3],
  c: [1, 1e2],
  d: [1, 10],
  h: [1e2, 1],
  k: [1e3, 1],
  M: [1e6, 1],
  G: [1e9, 1],
};

/** [factor, divisor, dimension, prefixes]. Conventional values: NIST SP 811 (2008), appendix B.8; exact unless it says so. */
type Row = readonly [number, number, Dimension, string];
const SIMPLE: Readonly<Record<string, Row>> = {
  m: [1, 1, LENGTH, 'numcdk'],
  in: [254, 1e4, LENGTH, ''],
  ft: [3048, 1e4, LENGTH, ''],
  mil: [254, 1e7, LENGTH, ''],
  thou: [254, 1e7, LENGTH, ''],
  g: [1, 1e3, MASS, 'numck'],
  lb: [45359237, 1e8, MASS, ''],
  oz: [45359237, 16e8, MASS, ''],
  s: [1, 1, TIME, 'num'],
  min: [60, 1, TIME, ''],
  h: [3600, 1, TIME, ''],
  K: [1, 1, TEMPERATURE, 'm'],
  mol: [1, 1, AMOUNT, 'numk'],
  rad: [1, 1, ANGLE, 'um'],
  deg: [Math.PI, 180, ANGLE, ''],
  L: [1, 1e3, VOLUME, 'numcd'],
  l: [1, 1e3, VOLUME, 'numcd'],
  cc: [1, 1e6, VOLUME, ''],
  N: [1, 1, FORCE, 'numkM'],
  dyn: [1, 1e5, FORCE, ''],
  lbf: [4.4482216152605, 1, FORCE, ''],
  Pa: [1, 1, PRESSURE, 'umhkMG'],
  bar: [1e5, 1, PRESSURE, 'um'],
  atm: [101325, 1, PRESSURE, ''],
  // One pound-force on a square inch: 4.4482216152605 N / (0.0254 m)².
  psi: [6894.757293168361, 1, PRESSURE, ''],
  // Conventional millimetre of mercury (13 595.1 kg/m³ and 9.80665 m/s²); the inch is 25.4 of them.
  mmHg: [133.322387415, 1, PRESSURE, ''],
  inHg: [3386.388640341, 1, PRESSURE, ''],
  Torr: [101325, 760, PRESSURE, ''],
  P: [1, 10, VISCOSITY, 'umcd'],
  J: [1, 1, ENERGY, 'mkM'],
  W: [1, 1, POWER, 'mk'],
  // The thermochemical calorie, which chemistry means in kcal/mol.
  cal: [4184, 1e3, ENERGY, 'k'],
  cSt: [1, 1e6, dimension(0, 2, -1), ''],
  St: [1, 1e4, dimension(0, 2, -1), ''],
  '%': [1, 100, DIMENSIONLESS, ''],
  ppm: [1, 1e6, DIMENSIONLESS, ''],
};

/** A call needs a handful of the units: each is worked out when somebody asks for it. */
let makers: Map<string, () => Unit> | null = null;
const made = new Map<string, Unit>();

/** The unit of that exact spelling (after `normaliseUnit`), or null. */
export function tableUnit(name: string): Unit | null {
  const known = made.get(name);
  if (known !== undefined) return known;
  makers ??= unitMakers();
  const unit = makers.get(name)?.() ?? null;
  if (unit !== null) made.set(name, unit);
  return unit;
}

/** Every spelling of the table, for suggestions and for the test that compares the table with mathjs. */
export function tableUnitNames(): string[] {
  makers ??= unitMakers();
  return [...makers.keys()];
}

/** One spelling for all: micro signs, degree signs, dots, spaces, superscripts. */
export function normaliseUnit(text: string): string {
  return text
    .trim()
    .replace(/[\u00b5\u03bc]/g, 'u')
    .replace(/\u2103|\u00b0\s?C\b/g, 'degC')
    .replace(/\u2109|\u00b0\s?F\b/g, 'degF')
    .replace(/\u00b0/g, 'deg')
    .replace(
      /[\u207b\u00b9\u00b2\u00b3]+/g,
      s => `^${s.replace(/[\u207b\u00b9\u00b2\u00b3]/g, c => SUPERSCRIPTS[c] ?? '')}`,
    )
    .replace(/\s*([*/^()\u00b7\u22c5])\s*/g, '$1')
    .replace(/[*\u00b7\u22c5]|\s+/g, '.');
}

const SUPERSCRIPTS: Readonly<Record<string, string>> = { '\u207b': '-', '\u00b9': '1', '\u00b2': '2', '\u00b3': '3' };

function unitMakers(): Map<string, () => Unit> {
  const table = new Map<string, () => Unit>();
  for (const [name, [factor, divisor, dim, prefixes]] of Object.entries(SIMPLE)) {
    table.set(name, () => ({ factor, divisor, offset: 0, dimension: dim }));
    for (const letter of prefixes) {
      const [up, down] = PREFIXES[letter]!;
      table.set(letter + name, () => ({ ...reduced(factor * up, divisor * down), offset: 0, dimension: dim }));
    }
  }
  table.set('degC', () => ({ factor: 1, divisor: 1, offset: 273.15, dimension: TEMPERATURE }));
  table.set('degF', () => ({ factor: 5, divisor: 9, offset: 459.67, dimension: TEMPERATURE }));
  addCompounds(table);
  return table;
}

/** The products and quotients that recipes and data files use; anything else goes through the expression engine. */
function addCompounds(table: Map<string, () => Unit>): void {
  const volumes = ['m^3', 'dm^3', 'cm^3', 'mm^3', 'um^3', 'in^3', 'L', 'mL', 'uL', 'nL', 'cc'];
  const one: Unit = { factor: 1, divisor: 1, offset: 0, dimension: DIMENSIONLESS };
  const add = (name: string, a: string | null, b: string, power: number) => {
    table.set(name, () => product(a === null ? one : tableUnit(a)!, tableUnit(b)!, power));
  };
  for (const base of ['m', 'dm', 'cm', 'mm', 'um', 'in']) for (const n of [2, 3]) add(`${base}^${n}`, null, base, n);
  for (const p of ['Pa', 'mPa', 'uPa', 'hPa', 'kPa', 'MPa']) add(`${p}.s`, p, 's', 1);
  for (const m of ['kg', 'g', 'mg', 'lb']) for (const v of volumes) add(`${m}/${v}`, m, v, -1);
  for (const f of ['N', 'mN', 'uN', 'dyn']) for (const l of ['m', 'cm', 'mm']) add(`${f}/${l}`, f, l, -1);
  for (const e of ['J', 'kJ', 'cal', 'kcal']) add(`${e}/mol`, e, 'mol', -1);
  for (const e of ['J', 'kJ', 'cal', 'kcal']) {
    for (const m of ['g', 'kg']) {
      add(`${e}/${m}`, e, m, -1);
      add(`${e}/(${m}.K)`, `${e}/${m}`, 'K', -1);
    }
  }
  for (const p of ['W', 'mW']) {
    for (const l of ['m', 'cm', 'mm', 'm^2', 'cm^2', 'mm^2']) {
      add(`${p}/${l}`, p, l, -1);
      add(`${p}/(${l}.K)`, `${p}/${l}`, 'K', -1);
    }
  }
  for (const a of ['N', 'lbf', 'dyn']) for (const l of ['m^2', 'cm^2', 'mm^2', 'in^2']) add(`${a}/${l}`, a, l, -1);
  for (const t of ['s', 'ms', 'min', 'h']) {
    add(`1/${t}`, null, t, -1);
    add(`${t}^-1`, null, t, -1);
    for (const v of volumes) add(`${v}/${t}`, v, t, -1);
  }
  for (const l of ['m', 'cm', 'mm']) for (const t of ['s', 'min']) add(`${l}/${t}`, l, t, -1);
  for (const l of ['m^2', 'cm^2', 'mm^2']) add(`${l}/s`, l, 's', -1);
  for (const v of volumes) {
    for (const t of ['s', 'min', 'h']) {
      for (const p of ['Pa', 'kPa', 'MPa', 'bar', 'psi']) add(`${v}/(${t}.${p})`, `${v}/${t}`, p, -1);
    }
  }
}

/** a·bᵖᵒʷᵉʳ. */
function product(a: Unit, b: Unit, power: number): Unit {
  const up = power < 0 ? b.divisor : b.factor;
  const down = power < 0 ? b.factor : b.divisor;
  return {
    ...reduced(a.factor * up ** Math.abs(power), a.divisor * down ** Math.abs(power)),
    offset: 0,
    dimension: timesPower(a.dimension, b.dimension, power),
  };
}

/** Cancels what both share when both are integers, so that g/mL is exactly 1000/1. */
function reduced(factor: number, divisor: number): { factor: number; divisor: number } {
  if (!Number.isSafeInteger(factor) || !Number.isSafeInteger(divisor)) return { factor, divisor };
  let a = factor;
  let b = divisor;
  while (b !== 0) [a, b] = [b, a % b];
  return { factor: factor / a, divisor: divisor / a };
}
