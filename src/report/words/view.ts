import type { Style } from './style.ts';

/** How text is shown: width and colours of where it goes. */
export interface View {
  readonly style: Style;
  /** Characters a line. */
  readonly columns: number;
  /** A terminal, where a finding that is longer than a line is broken at words; in a file and a pipe it stays on one. */
  readonly wraps?: boolean;
}
