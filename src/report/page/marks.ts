/**
 * A page as plain data: what stands where, in millimetres from the top left corner of the paper. Layout code makes these
 * and tests read them; `draw-pdf.ts` and the chart's SVG writer are the only places that turn them into ink.
 * Everything is black on white, so that a photocopy still tells the marks apart.
 */

export type FontName = 'regular' | 'medium' | 'semibold';

/** Dash lengths [mm], drawn and gap in turn. */
export type Dash = readonly number[];

export interface TextMark {
  readonly kind: 'text';
  /** Anchor on the baseline [mm]. */
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly font: FontName;
  /** Font size [pt]. */
  readonly size: number;
  /** Which part of the text stands at the anchor; default left. */
  readonly align?: 'left' | 'center' | 'right';
  /** Turned counter-clockwise about the anchor [deg]; default 0. */
  readonly angle?: number;
}

export interface LineMark {
  readonly kind: 'line';
  readonly x1: number;
  readonly y1: number;
  readonly x2: number;
  readonly y2: number;
  /** Line width [mm]. */
  readonly width: number;
  readonly dash?: Dash;
  readonly cap?: 'butt' | 'round';
}

/** An ellipse with upright axes; the middle of its line is the radius. */
export interface CircleMark {
  readonly kind: 'circle';
  readonly x: number;
  readonly y: number;
  /** [mm]; differ where the printer's two scales differ. */
  readonly radiusX: number;
  readonly radiusY: number;
  /** Line width [mm]; 0 for none. */
  readonly width: number;
  readonly dash?: Dash;
  /** How far into its pattern a dashed line begins [mm], at the rightmost point; default 0. */
  readonly phase?: number;
  readonly cap?: 'butt' | 'round';
  readonly fill?: Fill;
}

export type Fill = 'black' | 'white';

export type PathCommand =
  | readonly ['M', number, number]
  | readonly ['L', number, number]
  | readonly ['C', number, number, number, number, number, number]
  | readonly ['Z'];

export interface PathMark {
  readonly kind: 'path';
  readonly commands: readonly PathCommand[];
  /** Line width [mm]; 0 for none. */
  readonly width: number;
  readonly dash?: Dash;
  /** How far into its pattern a dashed line begins [mm]; default 0. */
  readonly phase?: number;
  readonly cap?: 'butt' | 'round';
  readonly fill?: Fill;
}

export interface BoxMark {
  readonly kind: 'box';
  readonly x: number;
  readonly y: number;
  /** Size of the box [mm]. */
  readonly boxWidth: number;
  readonly boxHeight: number;
  /** Line width [mm]; 0 for none. */
  readonly width: number;
  readonly dash?: Dash;
  readonly fill?: Fill;
}

export type Mark = TextMark | LineMark | CircleMark | PathMark | BoxMark;

/** Structure types of ISO 32000 that we use; `Artifact` is decoration that a reader skips. */
export type Tag =
  | 'H1'
  | 'H2'
  | 'P'
  | 'Figure'
  | 'Caption'
  | 'Table'
  | 'TR'
  | 'TH'
  | 'TD'
  | 'Sect'
  | 'L'
  | 'LI'
  | 'LBody'
  | 'Artifact';

/** One node of the document's structure: a leaf with marks, or a group of blocks in reading order. */
export interface Block {
  readonly tag: Tag;
  /** Text for who cannot see the figure. */
  readonly alt?: string;
  /** For TH: what the header heads. */
  readonly scope?: 'Row' | 'Column';
  readonly marks?: readonly Mark[];
  readonly blocks?: readonly Block[];
}

export interface Page {
  /** Paper size [mm]. */
  readonly width: number;
  readonly height: number;
  readonly blocks: readonly Block[];
}

export interface SheetDocument {
  readonly title: string;
  readonly subject: string;
  readonly lang: string;
  /** Who wrote the file, with version. */
  readonly creator: string;
  readonly created: Date;
  readonly pages: readonly Page[];
}

/** All marks of blocks in drawing order. */
export function marksOf(blocks: readonly Block[]): Mark[] {
  return blocks.flatMap(b => [...(b.marks ?? []), ...marksOf(b.blocks ?? [])]);
}
