/** An iteration that did not reach its tolerance. Its last value is kept for the message and is never a result. */
export class ConvergenceError extends Error {
  constructor(
    readonly method: string,
    readonly iterations: number,
    readonly lastValue: number,
    readonly remainingError: number,
  ) {
    super(
      `${method} did not converge in ${iterations} steps: last value ${lastValue}, remaining error ${remainingError}`,
    );
    this.name = 'ConvergenceError';
  }
}
