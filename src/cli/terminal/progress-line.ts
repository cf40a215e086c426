import type { CliIo } from './io.ts';

/** A run is silent for so long [ms] before it shows how far it is. */
const PATIENCE = 1000;
const PERIOD = 200; // [ms] between two lines

export interface ProgressLine {
  /** Shows the share done, where standard error is a terminal and the run has taken a while. */
  readonly show: (share: number) => void;
  /** Takes the line away again. */
  readonly clear: () => void;
}

/** A line on the terminal that says how far a long run is; nothing where standard error goes to a file or a pipe. */
export function progressLine(io: CliIo, what: string): ProgressLine {
  const start = io.now().getTime();
  let last = start;
  let shown = false;
  return {
    show: share => {
      if (!io.isTTY.stderr) return;
      const now = io.now().getTime();
      if (now - start < PATIENCE || now - last < PERIOD) return;
      last = now;
      shown = true;
      io.stderr(`\r${what}: ${Math.floor(share * 100)} %`);
    },
    clear: () => {
      if (shown) io.stderr(`\r${' '.repeat(what.length + 7)}\r`);
      shown = false;
    },
  };
}
