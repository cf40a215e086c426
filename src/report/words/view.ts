import type { Style } from './style.ts';

/** How text is shown: width and colours of where it goes. */
export interface View {
  readonly style: Style;
  /** Characters a line. */
  readonly columns: number;
}
