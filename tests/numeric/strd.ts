import { readFileSync } from 'node:fs';

/** The public-domain reference sets of NIST StRD, read from the files as published. */
const FOLDER = new URL('../fixtures/strd/', import.meta.url);

interface NonlinearSet {
  readonly starts: readonly [number[], number[]];
  readonly parameters: number[];
  readonly deviations: number[];
  readonly sumOfSquares: number;
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
    y: data.map(r => r[0]!),
    x: data.map(r => r[1]!),
  };
}

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
  rows: number[][];
} {
  const lines = linesOf(name);
  const rows = lines.flatMap(line => {
    const m = /^\s*B\d+\s+(\S+)\s+(\S+)\s*$/.exec(line);
    return m ? [m.slice(1).map(Number)] : [];
  });
  const sd = lines.find(l => /^\s*Standard Deviation\s+[\d.E+-]+\s*$/.test(l))!;
  return {
    estimates: rows.map(r => r[0]!),
    deviations: rows.map(r => r[1]!),
    residualSd: Number(sd.trim().split(/\s+/)[2]),
    rows: dataRows(lines),
  };
}
