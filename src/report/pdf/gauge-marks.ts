import type { GaugeResult } from '../../analysis/dot/gauge.ts';
import type { GaugeGrid } from '../../analysis/dot/gauge-grid.ts';
import { qrModules } from '../../analysis/sheet/qr-code.ts';
import { sheetCodeText } from '../../analysis/sheet/sheet-code.ts';
import { CORNER_MARK, codePlace, cornerMarks } from '../../analysis/sheet/sheet-marks.ts';
import type { Block, Mark, PathCommand } from '../page/marks.ts';
import type { SheetOrigin } from '../page/sheet-origin.ts';
import { TYPE, text } from '../page/sheet-parts.ts';

export interface MarkedPage extends Pick<SheetOrigin, 'digest' | 'creator'> {
  readonly gauge: GaugeResult;
  readonly grid: Pick<GaugeGrid, 'columns' | 'rows'>;
  readonly page: number;
  readonly pages: number;
  /** Left margin of the sheet's text [mm]. */
  readonly left: number;
}

/** Room of the code and the white around it, left of the right margin [mm]. */
export const CODE_WIDTH = 22;

/** What `scan` finds a page by: four marks at the corners, a code that says which page it is, and how to take the picture. */
export function gaugeMarks(p: MarkedPage): Block[] {
  const { paper } = p.gauge;
  const marks = cornerMarks(paper).flatMap(at => cornerMark(at.x, at.y));
  const words = text(p.left, CORNER_MARK.inset + 0.9, HOW_TO, TYPE.label);
  return [{ tag: 'Artifact', marks }, code(p), { tag: 'P', marks: [words] }];
}

const HOW_TO =
  'Picture for reading back: all four marks in it, straight from above and far off, even light, no flash; or a flatbed at 300 dpi.';

function cornerMark(x: number, y: number): Mark[] {
  const { disc, ringInside, ringOutside } = CORNER_MARK;
  const radius = (ringInside + ringOutside) / 4;
  const ring = {
    kind: 'circle',
    x,
    y,
    radiusX: radius,
    radiusY: radius,
    width: (ringOutside - ringInside) / 2,
  } as const;
  return [ring, { kind: 'circle', x, y, radiusX: disc / 2, radiusY: disc / 2, width: 0, fill: 'black' }];
}

function code({ gauge, grid, page, pages, digest, creator }: MarkedPage): Block {
  const [min, aim, max] = gauge.rings.map(r => r.diameter_mm) as [number, number, number];
  const words = sheetCodeText({
    version: creator.split(' ').at(-1)!,
    ...{ digest, page, pages, paper: gauge.paper, columns: grid.columns, rows: grid.rows, circles: gauge.circles },
    shots: gauge.shots_per_circle,
    ...{ scaleX: gauge.scale_x, scaleY: gauge.scale_y, rings: [min, aim, max] },
  });
  const { x, y, side } = codePlace(gauge.paper);
  const modules = qrModules(words);
  const size = side / modules.length;
  const commands = modules.flatMap((row, r) =>
    runs(row).flatMap(([from, to]): PathCommand[] => {
      const [left, right, top, bottom] = [x + from * size, x + to * size, y + r * size, y + (r + 1) * size];
      return [['M', left, top], ['L', right, top], ['L', right, bottom], ['L', left, bottom], ['Z']];
    }),
  );
  const alt = `Code for reading the sheet back: ${words}`;
  return { tag: 'Figure', alt, marks: [{ kind: 'path', commands, width: 0, fill: 'black' }] };
}

/** Where black modules of a row begin and end; neighbours are drawn as one, without a seam. */
function runs(row: readonly boolean[]): [number, number][] {
  const out: [number, number][] = [];
  for (const [i, black] of row.entries()) {
    if (!black) continue;
    const last = out.at(-1);
    if (last?.[1] === i) last[1] = i + 1;
    else out.push([i, i + 1]);
  }
  return out;
}
