import type { CardResult } from '../../analysis/card/card.ts';
import { PAPER_SIZES } from '../../analysis/dot/gauge-grid.ts';
import type { SheetOrigin } from '../page/sheet-origin.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import type { DisplayUnits } from '../words/display-units.ts';

export interface CardSheetInput extends SheetOrigin {
  readonly card: CardResult;
  readonly units: DisplayUnits;
  /** Version of the recipe format. */
  readonly format: number;
}

/** The page of a card: what is set on it, how wide texts are, and where its parts stand. */
export interface CardLayout {
  readonly width: number;
  readonly input: CardSheetInput;
  readonly measure: TextMeasure;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  /** Right end of what stands beside the upright check bar. */
  readonly inner: number;
  /** Upper edges of the parts [mm]. */
  readonly stop: number;
  readonly check: number;
  readonly fail: number;
  readonly end: number;
}

const CARD_MARGIN = 12; // [mm]
const BAR_ROOM = 25;
export const RAMP_TOP = 73; // first line of the ramp [mm]

/** The parts below the ramp keep their heights and stand at the foot; the ramp has what is left. */
function placesOf(height: number): Pick<CardLayout, 'stop' | 'check' | 'fail' | 'end'> {
  const end = height - 43.5;
  const fail = end - 24;
  const check = fail - 66;
  return { end, fail, check, stop: check - 16 };
}

export function cardLayout(input: CardSheetInput, measure: TextMeasure): CardLayout {
  const size = PAPER_SIZES[input.card.paper];
  const [width, height] = [size.width * 1000, size.height * 1000];
  const right = width - CARD_MARGIN;
  return { input, measure, width, height, left: CARD_MARGIN, right, inner: right - BAR_ROOM, ...placesOf(height) };
}
