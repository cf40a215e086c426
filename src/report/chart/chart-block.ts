import type { Block, Mark, PathCommand } from '../page/marks.ts';
import type { Drawing } from './drawing.ts';

/** A drawing as a figure on a page, its top left corner at (x, y) [mm]. */
export function chartBlock(drawing: Drawing, x: number, y: number): Block {
  return { tag: 'Figure', alt: drawing.alt, marks: drawing.marks.map(m => moved(m, x, y)) };
}

function moved(mark: Mark, dx: number, dy: number): Mark {
  if (mark.kind === 'line') {
    return { ...mark, x1: mark.x1 + dx, y1: mark.y1 + dy, x2: mark.x2 + dx, y2: mark.y2 + dy };
  }
  if (mark.kind === 'path') {
    const commands = mark.commands.map(([letter, ...v]) => [
      letter,
      ...(v as number[]).map((value, i) => value + (i % 2 === 0 ? dx : dy)),
    ]);
    return { ...mark, commands: commands as unknown as PathCommand[] };
  }
  return { ...mark, x: mark.x + dx, y: mark.y + dy };
}

/** Several drawings one beneath the other as one, so far apart [mm], for a file that holds one picture. Throws: RangeError for none. */
export function stackDrawings(drawings: readonly Drawing[], gap = 0): Drawing {
  const [first, ...rest] = drawings;
  if (first === undefined) throw new RangeError('there is no drawing to stack');
  if (rest.length === 0) return first;
  let y = 0;
  const marks = drawings.flatMap(drawing => {
    const placed = drawing.marks.map(m => moved(m, 0, y));
    y += drawing.height + gap;
    return placed;
  });
  const width = Math.max(...drawings.map(drawing => drawing.width));
  return { title: first.title, alt: drawings.map(drawing => drawing.alt).join(' '), width, height: y - gap, marks };
}
