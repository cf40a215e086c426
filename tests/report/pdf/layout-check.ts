import { type Mark, marksOf, type Page, type TextMark } from '../../../src/report/page/marks.ts';
import { PT_PER_MM, type TextMeasure } from '../../../src/report/page/text-measure.ts';

export interface Rectangle {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly what: string;
}

/** Where a text has ink: from a little under the capital height to a little under the baseline [mm]. */
export function textRectangle(mark: TextMark, measure: TextMeasure): Rectangle {
  const width = measure(mark.text, mark.font, mark.size);
  const em = mark.size / PT_PER_MM;
  const left = mark.align === 'right' ? mark.x - width : mark.align === 'center' ? mark.x - width / 2 : mark.x;
  return { left, right: left + width, top: mark.y - 0.73 * em, bottom: mark.y + 0.21 * em, what: mark.text };
}

export function markRectangle(mark: Mark, measure: TextMeasure): Rectangle {
  const what = mark.kind;
  switch (mark.kind) {
    case 'text':
      return textRectangle(mark, measure);
    case 'line':
      return {
        left: Math.min(mark.x1, mark.x2),
        right: Math.max(mark.x1, mark.x2),
        top: Math.min(mark.y1, mark.y2),
        bottom: Math.max(mark.y1, mark.y2),
        what,
      };
    case 'circle':
      return {
        left: mark.x - mark.radiusX,
        right: mark.x + mark.radiusX,
        top: mark.y - mark.radiusY,
        bottom: mark.y + mark.radiusY,
        what,
      };
    case 'box':
      return { left: mark.x, right: mark.x + mark.boxWidth, top: mark.y, bottom: mark.y + mark.boxHeight, what };
    case 'path': {
      const values = mark.commands.map(c => c.slice(1) as number[]);
      const xs = values.flatMap(v => v.filter((_, i) => i % 2 === 0));
      const ys = values.flatMap(v => v.filter((_, i) => i % 2 === 1));
      return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys), what };
    }
  }
}

/** What leaves the margins of a page, in words; [] when all is well. */
export function outside(page: Page, margin: number, measure: TextMeasure): string[] {
  return marksOf(page.blocks)
    .map(m => markRectangle(m, measure))
    .filter(
      r => !(r.left >= margin && r.right <= page.width - margin && r.top >= margin && r.bottom <= page.height - margin),
    )
    .map(describe);
}

/** Texts that lie on other texts, on rings or on boxes' edges and rules, in words; [] when all is well. */
export function collisions(marks: readonly Mark[], measure: TextMeasure): string[] {
  const texts = marks.filter(m => m.kind === 'text').map(m => textRectangle(m, measure));
  const solid = marks.filter(m => m.kind === 'circle' || m.kind === 'line').map(m => markRectangle(m, measure));
  const out: string[] = [];
  texts.forEach((a, i) => {
    for (const b of [...texts.slice(i + 1), ...solid]) if (overlap(a, b)) out.push(`${describe(a)} on ${describe(b)}`);
  });
  return out;
}

function overlap(a: Rectangle, b: Rectangle): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

function describe(r: Rectangle): string {
  const [l, t, w, h] = [r.left, r.top, r.right - r.left, r.bottom - r.top].map(v => v.toFixed(2));
  return `"${r.what}" at ${l}, ${t} (${w} × ${h})`;
}
