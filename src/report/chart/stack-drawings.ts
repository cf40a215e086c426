import { marksOf } from '../page/marks.ts';
import { chartBlock } from './chart-block.ts';
import type { Drawing } from './drawing.ts';

/** Several drawings one beneath the other as one, for a file that holds one picture. Throws: RangeError for none. */
export function stackDrawings(drawings: readonly Drawing[]): Drawing {
  const [first, ...rest] = drawings;
  if (first === undefined) throw new RangeError('there is no drawing to stack');
  if (rest.length === 0) return first;
  let y = 0;
  const marks = drawings.flatMap(drawing => {
    const moved = marksOf([chartBlock(drawing, 0, y)]);
    y += drawing.height;
    return moved;
  });
  const width = Math.max(...drawings.map(drawing => drawing.width));
  return { title: first.title, alt: drawings.map(drawing => drawing.alt).join(' '), width, height: y, marks };
}
