/** An iteration that did not reach its precision. Its last value is never handed on as a result. */
export class ConvergenceError extends Error {
  constructor(
    readonly what: string,
    readonly iterations: number,
  ) {
    super(`${what}: no convergence within ${iterations} iterations`);
    this.name = 'ConvergenceError';
  }
}
