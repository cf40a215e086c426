import { getDocument, OPS, type PDFDocumentProxy } from 'pdfjs-dist/legacy/build/pdf.mjs';

/** A painted path as it stands on the page [mm from the lower left corner], whatever transforms led there. */
export interface PaintedPath {
  readonly points: readonly (readonly [number, number])[];
  /** Of the curve itself, not of its control points. */
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly curved: boolean;
  readonly lineWidth: number;
  readonly dashed: boolean;
}

const MM = 25.4 / 72;

export async function openPdf(bytes: Uint8Array): Promise<PDFDocumentProxy> {
  return getDocument({ data: new Uint8Array(bytes), verbosity: 0, fontExtraProperties: true }).promise;
}

type Matrix = [number, number, number, number, number, number];

/** All painted paths of a page, read from its operators. */
export async function pathsOf(pdf: PDFDocumentProxy, pageNumber: number): Promise<PaintedPath[]> {
  const list = await (await pdf.getPage(pageNumber)).getOperatorList();
  let state = { matrix: [1, 0, 0, 1, 0, 0] as Matrix, lineWidth: 1, dashed: false };
  const stack: (typeof state)[] = [];
  const out: PaintedPath[] = [];
  list.fnArray.forEach((fn, i) => {
    const args = list.argsArray[i];
    if (fn === OPS.save) stack.push({ ...state });
    else if (fn === OPS.restore) state = stack.pop()!;
    else if (fn === OPS.transform) state = { ...state, matrix: multiply(state.matrix, args as Matrix) };
    else if (fn === OPS.setLineWidth) state = { ...state, lineWidth: args[0] * MM };
    else if (fn === OPS.setDash) state = { ...state, dashed: args[0].length > 0 };
    else if (fn === OPS.constructPath) out.push(painted(args[1][0] as Float32Array, state));
  });
  return out;
}

function multiply(m: Matrix, n: Matrix): Matrix {
  return [
    m[0] * n[0] + m[2] * n[1],
    m[1] * n[0] + m[3] * n[1],
    m[0] * n[2] + m[2] * n[3],
    m[1] * n[2] + m[3] * n[3],
    m[0] * n[4] + m[2] * n[5] + m[4],
    m[1] * n[4] + m[3] * n[5] + m[5],
  ];
}

/** pdf.js packs a path as numbers: 0 move, 1 line, 2 curve, 3 quadratic, 4 close, each followed by its coordinates. */
function painted(data: Float32Array, state: { matrix: Matrix; lineWidth: number; dashed: boolean }): PaintedPath {
  const m = state.matrix;
  const at = (i: number): [number, number] => {
    const [x, y] = [data[i]!, data[i + 1]!];
    return [(m[0] * x + m[2] * y + m[4]) * MM, (m[1] * x + m[3] * y + m[5]) * MM];
  };
  const points: [number, number][] = [];
  let curved = false;
  for (let i = 0; i < data.length; ) {
    const op = data[i]!;
    if (op === 0 || op === 1) {
      points.push(at(i + 1));
      i += 3;
    } else if (op === 2) {
      curved = true;
      const [a, b, c, d] = [points.at(-1)!, at(i + 1), at(i + 3), at(i + 5)];
      for (let k = 1; k <= 32; k++) points.push(bezier(a, b, c, d, k / 32));
      i += 7;
    } else if (op === 4) i += 1;
    else throw new Error(`unexpected path operator ${op}`);
  }
  const xs = points.map(p => p[0]);
  const ys = points.map(p => p[1]);
  const [left, right, bottom, top] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  return {
    points,
    left,
    right,
    bottom,
    top,
    width: right - left,
    height: top - bottom,
    curved,
    lineWidth: state.lineWidth,
    dashed: state.dashed,
  };
}

type Point = readonly [number, number];

function bezier(a: Point, b: Point, c: Point, d: Point, t: number): [number, number] {
  const s = 1 - t;
  const at = (k: 0 | 1) => s ** 3 * a[k] + 3 * s * s * t * b[k] + 3 * s * t * t * c[k] + t ** 3 * d[k];
  return [at(0), at(1)];
}

/** The text of a page in drawing order, one string. */
export async function textOf(pdf: PDFDocumentProxy, pageNumber: number): Promise<string> {
  const content = await (await pdf.getPage(pageNumber)).getTextContent();
  return content.items.map(item => ('str' in item ? item.str : '')).join(' ');
}
