import type { Paper } from '../dot/gauge-grid.ts';

/** What the code of a gauge sheet says of it. */
export interface SheetCode {
  /** Of the program that drew the sheet. */
  readonly version: string;
  /** First 16 digits of the recipe's digest, as the foot of the sheet has them. */
  readonly digest: string;
  readonly paper: Paper;
  readonly page: number;
  readonly pages: number;
  /** What rings and bars are divided by, to a millionth. */
  readonly scaleX: number;
  readonly scaleY: number;
  /** Diameters of the rings min, aim, max [mm], to a micrometre. */
  readonly rings: readonly [number, number, number];
  readonly columns: number;
  readonly rows: number;
  /** Of all pages together. */
  readonly circles: number;
  /** On one circle. */
  readonly shots: number;
}

/** First word of the code. Its number goes up when marks, code or circles move on the sheet. */
const NAME = 'DWB1';

/** Letters of the alphanumeric mode of ISO/IEC 18004, in which a code takes the least room. */
const FOREIGN = /[^0-9A-Z $%*+\-./:]/g;

/** The text of the code. */
export function sheetCodeText(c: SheetCode): string {
  const micro = (mm: number) => Math.round(mm * 1000);
  return [
    NAME,
    c.version.toUpperCase().replace(/\s/g, '').replace(FOREIGN, '-').slice(0, 20),
    c.digest.slice(0, 16).toUpperCase(),
    c.paper === 'a4' ? 'A4' : 'LT',
    `${c.page}/${c.pages}`,
    millionths(c.scaleX),
    millionths(c.scaleY),
    ...c.rings.map(micro),
    `${c.columns}*${c.rows}`,
    c.circles,
    c.shots,
  ].join(' ');
}

/** How far a scale is from 1. */
function millionths(scale: number): number {
  return Math.round((scale - 1) * 1e6);
}

const CODE = new RegExp(
  `^${NAME} (\\S{1,20}) ([0-9A-F]{16}) (A4|LT) (\\d{1,4})/(\\d{1,4}) (-?\\d{1,6}) (-?\\d{1,6}) ` +
    '(\\d{1,6}) (\\d{1,6}) (\\d{1,6}) (\\d{1,2})\\*(\\d{1,2}) (\\d{1,4}) (\\d{1,16})$',
);

/** What the text of a code says; null for a text that is not of a gauge sheet. */
export function readSheetCode(text: string): SheetCode | null {
  const found = CODE.exec(text);
  if (found === null) return null;
  const [, version = '', digest = '', paper = ''] = found;
  const [page, pages, x, y, min, aim, max, columns, rows, circles, shots] = found.slice(4).map(Number) as [
    ...[number, number, number, number, number, number, number, number, number, number, number],
  ];
  const code: SheetCode = {
    version: version.toLowerCase(),
    digest: digest.toLowerCase(),
    paper: paper === 'A4' ? 'a4' : 'letter',
    ...{ page, pages, columns, rows, circles, shots },
    scaleX: 1 + x / 1e6,
    scaleY: 1 + y / 1e6,
    rings: [min / 1000, aim / 1000, max / 1000],
  };
  return isPossible(code) ? code : null;
}

function isPossible(c: SheetCode): boolean {
  const counts = c.page >= 1 && c.page <= c.pages && c.columns >= 1 && c.rows >= 1 && c.circles >= 1 && c.shots >= 1;
  const sizes = c.rings[0] > 0 && c.rings[2] < 300 && c.rings.every((d, i) => i === 0 || d >= c.rings[i - 1]!);
  return counts && sizes && (c.page - 1) * c.columns * c.rows < c.circles;
}
