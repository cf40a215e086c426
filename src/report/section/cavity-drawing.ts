import type { CavityResult } from '../../analysis/cavity/cavity.ts';
import type { CavityView } from '../../analysis/cavity/cavity-view.ts';
import { CHART_EDGE, type Drawing } from '../chart/drawing.ts';
import { CHART_TYPE, titleMark } from '../chart/frame.ts';
import type { Mark, TextMark } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import { approximateMeasure, type TextMeasure } from '../page/text-measure.ts';
import { plain } from '../words/number-text.ts';
import { panelsOf } from './section-panels.ts';
import { type Canvas, ruler, span } from './section-shapes.ts';

const WIDTH = 180; // [mm] of paper, as all that follows
/** Greatest height of the cavity, and the wall drawn around it: the outside of a connector is not in a recipe. */
const HIGHEST = 26;
/** Of a row of bores, whose beads and fibres are to be told apart; so four sections still fit a page. */
const HIGHEST_ROW = 34;
const WALL = 2.6;
const CAPTION = 9.5; // from the caption's baseline to the wall, with the length over it
const GAP = 7; // from wall to next caption

/** How many times as large as life, from the largest that fits. */
const SCALES = [
  50, 40, 30, 25, 20, 15, 12, 10, 9, 8, 7, 6, 5, 4.5, 4, 3.5, 3, 2.5, 2, 1.5, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01,
];

/**
 * Sections of a connector to scale, one beneath the other: the needle at its seat with the bore shot, then the cable in its
 * place with resin to the least, the wanted and the greatest reach. Resin is black, what is cut is hatched.
 */
export function cavityDrawing(
  result: CavityResult,
  view: CavityView,
  name: string,
  measure: TextMeasure = approximateMeasure,
): Drawing {
  const ends = endsOf(result, view);
  const radius = Math.max(...view.cavity.map(p => Math.max(p.front, p.rear) / 2 + Math.max(...p.offsets)));
  const room = WIDTH - 2 * CHART_EDGE;
  const row = view.cavity.some(p => p.height !== null || p.offsets.length > 1);
  const highest = row ? HIGHEST_ROW : HIGHEST;
  const fits = Math.min(room / (ends.to - ends.from), highest / (2 * radius));
  const scale = SCALES.find(s => s <= fits) ?? fits;
  const cut = row ? ', cut along the row' : '';
  const half = Math.min(Math.max(radius, (result.face_mm ?? 0) / 2) * scale, highest) + WALL;
  const panels = panelsOf(result, view);
  const title = `Section: ${name}`;
  const note = `${scale >= 1 ? `${scale} : 1` : `1 : ${plain(1 / scale, 4)}`} at 100 %, nominal sizes in mm${cut}. Resin black; the outside of the connector is not in the recipe.`;
  const marks: Mark[] = [titleMark(title, WIDTH, measure), label(CHART_EDGE, CHART_EDGE + 8, note, 'regular', measure)];
  let y = CHART_EDGE + 17;
  for (const panel of panels) {
    const axis = y + CAPTION + half;
    const x = (mm: number) => CHART_EDGE + (mm - ends.from) * scale;
    const canvas: Canvas = { ...ends, x, scale, axis, half, paper: WIDTH - CHART_EDGE, measure };
    marks.push(label(CHART_EDGE, y, panel.caption, 'medium', measure), ...panel.marks(canvas));
    if (panel.length !== null) marks.push(...span(canvas, panel.length.to, panel.length.words));
    const named = ruler(canvas, panel.parts);
    marks.push(...named.marks);
    y = axis + half + named.height + GAP;
  }
  const alt = `${title}. ${panels.map(panel => panel.caption).join('. ')}.`;
  return { title, alt, width: WIDTH, height: y - GAP + CHART_EDGE, marks };
}

function label(x: number, y: number, words: string, font: TextMark['font'], measure: TextMeasure): TextMark {
  const style = { font, size: CHART_TYPE.label };
  return { kind: 'text', x, y, text: fitText(words, WIDTH - x - CHART_EDGE, style, measure), ...style };
}

/** From where to where the sections are drawn [mm behind the end face]: cable and needle go on behind. */
function endsOf(result: CavityResult, { cavity, cable, needle, beadAngle }: CavityView): { from: number; to: number } {
  const rear = cavity.at(-1)!.to;
  const widest = Math.max(result.final_bead_diameter_mm ?? 0, cavity[0]!.front);
  const high = beadAngle === null ? 0 : (widest / 2) * Math.tan(beadAngle / 2);
  const front = Math.max(high, -(cable?.[0]?.from ?? 0));
  const behind = Math.max(0.15 * rear, Math.min((needle?.hub ?? rear) - rear, 0.5 * rear) + 0.1 * rear);
  return { from: -front - 0.05 * rear, to: rear + behind };
}
