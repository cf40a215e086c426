import type { Mark } from '../page/marks.ts';

/** A finished picture as plain data: its size and its marks in millimetres from the top left corner. */
export interface Drawing {
  readonly title: string;
  /** What it shows, in words, for who cannot see it. */
  readonly alt: string;
  readonly width: number;
  readonly height: number;
  readonly marks: readonly Mark[];
}

export interface DrawingSize {
  /** [mm] */
  readonly width: number;
  readonly height: number;
}

export const DEFAULT_SIZE: DrawingSize = { width: 170, height: 105 };

/** Free margin that every drawing keeps on all sides [mm]. */
export const CHART_EDGE = 2;
