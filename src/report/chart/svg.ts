import { circleCommands } from '../page/circle-commands.ts';
import type { Mark, PathCommand, TextMark } from '../page/marks.ts';
import { PT_PER_MM } from '../page/text-measure.ts';
import type { Drawing } from './drawing.ts';

const WEIGHTS = { regular: 400, medium: 500, semibold: 600 } as const;

/** The drawing as an SVG file of its size in millimetres, black on white; the same drawing gives the same text. */
export function svgText(drawing: Drawing): string {
  const { width, height } = drawing;
  const lines = [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${num(width)}mm" height="${num(height)}mm" viewBox="0 0 ${num(width)} ${num(height)}" role="img" font-family="Inter, Helvetica, Arial, sans-serif">`,
    `<title>${escapeXml(drawing.title)}</title>`,
    `<desc>${escapeXml(drawing.alt)}</desc>`,
    `<rect width="${num(width)}" height="${num(height)}" fill="white"/>`,
    ...drawing.marks.map(svgMark),
    '</svg>',
  ];
  return `${lines.join('\n')}\n`;
}

function svgMark(mark: Mark): string {
  switch (mark.kind) {
    case 'text':
      return svgString(mark);
    case 'line':
      return `<line x1="${num(mark.x1)}" y1="${num(mark.y1)}" x2="${num(mark.x2)}" y2="${num(mark.y2)}" stroke="black"${pen(mark)}/>`;
    case 'circle':
      return mark.dash === undefined
        ? `<ellipse cx="${num(mark.x)}" cy="${num(mark.y)}" rx="${num(mark.radiusX)}" ry="${num(mark.radiusY)}"${ink(mark)}/>`
        : `<path d="${pathText(circleCommands(mark))}"${ink(mark)}/>`;
    case 'path':
      return `<path d="${pathText(mark.commands)}"${ink(mark)}/>`;
    case 'box':
      return `<rect x="${num(mark.x)}" y="${num(mark.y)}" width="${num(mark.boxWidth)}" height="${num(mark.boxHeight)}"${ink(mark)}/>`;
  }
}

function svgString(mark: TextMark): string {
  const anchor = { left: '', center: ' text-anchor="middle"', right: ' text-anchor="end"' }[mark.align ?? 'left'];
  const weight = mark.font === 'regular' ? '' : ` font-weight="${WEIGHTS[mark.font]}"`;
  const turn = mark.angle ? ` transform="rotate(${num(-mark.angle)} ${num(mark.x)} ${num(mark.y)})"` : '';
  return `<text x="${num(mark.x)}" y="${num(mark.y)}" font-size="${num(mark.size / PT_PER_MM)}"${weight}${anchor}${turn}>${escapeXml(mark.text)}</text>`;
}

function pathText(commands: readonly PathCommand[]): string {
  return commands.map(([letter, ...values]) => letter + (values as number[]).map(num).join(' ')).join('');
}

interface Inked {
  readonly width: number;
  readonly dash?: readonly number[];
  readonly phase?: number;
  readonly cap?: string;
  readonly fill?: string;
}

function ink(mark: Inked): string {
  const stroke = mark.width > 0 ? ` stroke="black"${pen(mark)}` : '';
  return ` fill="${mark.fill ?? 'none'}"${stroke}`;
}

function pen(mark: Inked): string {
  const dash = mark.dash === undefined ? '' : ` stroke-dasharray="${mark.dash.map(num).join(' ')}"`;
  const phase = mark.phase ? ` stroke-dashoffset="${num(mark.phase)}"` : '';
  return ` stroke-width="${num(mark.width)}"${dash}${phase}${mark.cap === 'round' ? ' stroke-linecap="round"' : ''}`;
}

/** Micrometres are enough for a picture, and short numbers make small files. */
function num(value: number): string {
  const text = String(Math.round(value * 1000) / 1000);
  return text === '-0' ? '0' : text;
}

function escapeXml(text: string): string {
  return text
    .replace(/[\p{Cc}]/gu, ' ')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;');
}
