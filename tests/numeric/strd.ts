import { readFileSync } from 'node:fs';

/** The public-domain reference sets of NIST StRD, read from the files as published. */
const FOLDER = new URL('../fixtures/strd/', import.meta.url);

interface NonlinearSet {
  readonly starts: readonly [number[], number[]];
  readonly parameters: number[];
  readonly deviations: number[];
  readonly sumOfSquares: number;
  /** Predictors, one list a row. */
  readonly rows: number[][];
  /** The first predictor. */
  readonly x: number[];
  readonly y: number[];
}

export function readNonlinear(name: string): NonlinearSet {
  const lines = linesOf(name);
  const rows = lines.flatMap(line => {
    const m = /^\s*b\d+\s*=\s*(\S+)\s+(\S+)\s+(\S+)\s+(\S+)\s*$/.exec(line);
    return m ? [m.slice(1).map(Number)] : [];
  });
  const sum = lines.find(l => l.startsWith('Residual Sum of Squares:'))!;
  const data = dataRows(lines);
  return {
    starts: [rows.map(r => r[0]!), rows.map(r => r[1]!)],
    parameters: rows.map(r => r[2]!),
    deviations: rows.map(r => r[3]!),
    sumOfSquares: Number(sum.split(':')[1]),
    y: data.map(r => (name === 'Nelson' ? Math.log(r[0]!) : r[0]!)),
    rows: data.map(r => r.slice(1)),
    x: data.map(r => r[1]!),
  };
}

type NonlinearModel = (x: number, b: Float64Array, row: readonly number[]) => number;

const gauss: NonlinearModel = (x, b) =>
  b[0]! * Math.exp(-b[1]! * x) +
  b[2]! * Math.exp(-((x - b[3]!) ** 2) / b[4]! ** 2) +
  b[5]! * Math.exp(-((x - b[6]!) ** 2) / b[7]! ** 2);
const lanczos: NonlinearModel = (x, b) =>
  b[0]! * Math.exp(-b[1]! * x) + b[2]! * Math.exp(-b[3]! * x) + b[4]! * Math.exp(-b[5]! * x);
const cubic: NonlinearModel = (x, b) =>
  (b[0]! + b[1]! * x + b[2]! * x ** 2 + b[3]! * x ** 3) / (1 + b[4]! * x + b[5]! * x ** 2 + b[6]! * x ** 3);
const chwirut: NonlinearModel = (x, b) => Math.exp(-b[0]! * x) / (b[1]! + b[2]! * x);
const wave = (x: number, [level, period, cosine, sine]: readonly [number, number, number, number]) =>
  level + cosine * Math.cos((2 * Math.PI * x) / period) + sine * Math.sin((2 * Math.PI * x) / period);

/** All 27 models as printed in the files of NIST StRD. Nelson is fitted to log y. */
export const MODELS: Readonly<Record<string, NonlinearModel>> = {
  Bennett5: (x, b) => b[0]! * (b[1]! + x) ** (-1 / b[2]!),
  BoxBOD: (x, b) => b[0]! * (1 - Math.exp(-b[1]! * x)),
  Chwirut1: chwirut,
  Chwirut2: chwirut,
  DanWood: (x, b) => b[0]! * x ** b[1]!,
  ENSO: (x, b) =>
    wave(x, [b[0]!, 12, b[1]!, b[2]!]) + wave(x, [0, b[3]!, b[4]!, b[5]!]) + wave(x, [0, b[6]!, b[7]!, b[8]!]),
  Eckerle4: (x, b) => (b[0]! / b[1]!) * Math.exp(-0.5 * ((x - b[2]!) / b[1]!) ** 2),
  Gauss1: gauss,
  Gauss2: gauss,
  Gauss3: gauss,
  Hahn1: cubic,
  Kirby2: (x, b) => (b[0]! + b[1]! * x + b[2]! * x ** 2) / (1 + b[3]! * x + b[4]! * x ** 2),
  Lanczos1: lanczos,
  Lanczos2: lanczos,
  Lanczos3: lanczos,
  MGH09: (x, b) => (b[0]! * (x * x + x * b[1]!)) / (x * x + x * b[2]! + b[3]!),
  MGH10: (x, b) => b[0]! * Math.exp(b[1]! / (x + b[2]!)),
  MGH17: (x, b) => b[0]! + b[1]! * Math.exp(-x * b[3]!) + b[2]! * Math.exp(-x * b[4]!),
  Misra1a: (x, b) => b[0]! * (1 - Math.exp(-b[1]! * x)),
  Misra1b: (x, b) => b[0]! * (1 - (1 + (b[1]! * x) / 2) ** -2),
  Misra1c: (x, b) => b[0]! * (1 - (1 + 2 * b[1]! * x) ** -0.5),
  Misra1d: (x, b) => (b[0]! * b[1]! * x) / (1 + b[1]! * x),
  Nelson: (_, b, row) => b[0]! - b[1]! * row[0]! * Math.exp(-b[2]! * row[1]!),
  Rat42: (x, b) => b[0]! / (1 + Math.exp(b[1]! - b[2]! * x)),
  Rat43: (x, b) => b[0]! / (1 + Math.exp(b[1]! - b[2]! * x)) ** (1 / b[3]!),
  Roszman1: (x, b) => b[0]! - b[1]! * x - Math.atan(b[2]! / (x - b[3]!)) / Math.PI,
  Thurber: cubic,
};

export function readUnivariate(name: string): {
  mean: number;
  sd: number;
  values: number[];
  texts: string[];
} {
  const lines = linesOf(name);
  const certified = (label: string): number =>
    Number(/:\s*(\S+)/.exec(lines.findLast(l => l.startsWith(label))!.slice(40))![1]);
  const from = lines.findIndex(l => /^-{5,}/.test(l));
  const texts = lines
    .slice(from + 1)
    .map(l => l.trim())
    .filter(l => l !== '');
  return {
    mean: certified('Sample Mean'),
    sd: certified('Sample Standard Deviation'),
    values: texts.map(Number),
    texts,
  };
}

function linesOf(name: string): string[] {
  return readFileSync(new URL(`${name}.dat`, FOLDER), 'latin1').split(/\r?\n/);
}

/** Rows of numbers after the last line that starts with "Data:". */
function dataRows(lines: string[]): number[][] {
  const from = lines.findLastIndex(l => l.startsWith('Data:'));
  return lines.slice(from + 1).flatMap(l => (l.trim() === '' ? [] : [l.trim().split(/\s+/).map(Number)]));
}

export function readLinear(name: string): {
  estimates: number[];
  deviations: number[];
  residualSd: number;
  y: number[];
  design: number[][];
} {
  const lines = linesOf(name);
  const rows = lines.flatMap(line => {
    const m = /^\s*B\d+\s+(\S+)\s+(\S+)\s*$/.exec(line);
    return m ? [m.slice(1).map(Number)] : [];
  });
  const sd = lines.find(l => /^\s*Standard Deviation\s+[\d.E+-]+\s*$/.test(l))!;
  const data = dataRows(lines);
  return {
    estimates: rows.map(r => r[0]!),
    deviations: rows.map(r => r[1]!),
    residualSd: Number(sd.trim().split(/\s+/)[2]),
    y: data.map(r => r[0]!),
    design: data.map(([, ...x]) => (x.length === 1 ? rows.map((_, k) => x[0]! ** k) : [1, ...x])),
  };
}
