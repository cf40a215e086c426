import { requirePositive } from '../../numeric/domain-error.ts';

export type Paper = 'a4' | 'letter';

/** Sheet sizes [m]: ISO 216 A4, and the North American letter of 8.5 in × 11 in. */
export const PAPER_SIZES: Readonly<Record<Paper, { readonly width: number; readonly height: number }>> = {
  a4: { width: 0.21, height: 0.297 },
  letter: { width: 0.2159, height: 0.2794 },
};

/** Where the circles of a gauge stand: distance of their field from the edges of the paper, and room around a circle [m]. */
const GAUGE_FIELD = {
  left: 0.015,
  right: 0.042, // the upright check bar stands here
  top: 0.079,
  bottom: 0.081,
  /** Smallest cell, so that number, line to write on and tick boxes have room beneath a small dot. */
  cellWidth: 0.03,
  cellHeight: 0.032,
  /** Free paper between neighbouring circles, and what stands beneath each. */
  gap: 0.008,
  caption: 0.0203,
} as const;

export interface GaugeGrid {
  readonly columns: number;
  readonly rows: number;
  /** Size of one cell [m]; columns × width and rows × height are the field. */
  readonly cellWidth: number;
  readonly cellHeight: number;
  /** Left and top of the field on the paper [m]. */
  readonly left: number;
  readonly top: number;
}

/** The middle of a circle by its number on the page, from 0 [m]: above the middle of its cell, with its caption below. */
export function circleMiddle(grid: GaugeGrid, index: number): { x: number; y: number } {
  const column = index % grid.columns;
  const row = Math.floor(index / grid.columns);
  return {
    x: grid.left + (column + 0.5) * grid.cellWidth,
    y: grid.top + (row + 0.5) * grid.cellHeight - ABOVE_MIDDLE,
  };
}

const ABOVE_MIDDLE = 0.008; // half of what stands beneath a circle [m]

/**
 * How many circles stand calmly on one page: as many cells as the field holds, spread evenly over it; null where not even
 * one circle fits.
 *
 * Valid for: the drawn size of the largest ring (`width` and `height` differ where the printer's two scales do) [m].
 * Throws: DomainError when a size is not finite and positive.
 */
export function gaugeGrid(p: { paper: Paper; width: number; height: number }): GaugeGrid | null {
  requirePositive('width', p.width, 'm');
  requirePositive('height', p.height, 'm');
  const { width, height } = fieldOf(p.paper);
  const columns = Math.floor(width / Math.max(GAUGE_FIELD.cellWidth, p.width + GAUGE_FIELD.gap));
  const rows = Math.floor(
    height / Math.max(GAUGE_FIELD.cellHeight, p.height + GAUGE_FIELD.gap / 2 + GAUGE_FIELD.caption),
  );
  return columns < 1 || rows < 1 ? null : gridOf(p.paper, { columns, rows });
}

/** So many columns and rows, spread evenly over the field of a sheet. */
export function gridOf(paper: Paper, { columns, rows }: { columns: number; rows: number }): GaugeGrid {
  const { width, height } = fieldOf(paper);
  const { left, top } = GAUGE_FIELD;
  return { columns, rows, cellWidth: width / columns, cellHeight: height / rows, left, top };
}

function fieldOf(paper: Paper): { width: number; height: number } {
  const sheet = PAPER_SIZES[paper];
  return {
    width: sheet.width - GAUGE_FIELD.left - GAUGE_FIELD.right,
    height: sheet.height - GAUGE_FIELD.top - GAUGE_FIELD.bottom,
  };
}
