import { Chalk } from 'chalk';

/** The few ways in which text is set apart. Colour is never the only sign: every use has words beside it. */
export interface Style {
  strong(text: string): string;
  faint(text: string): string;
  error(text: string): string;
  warning(text: string): string;
  good(text: string): string;
}

/** A style with as many colours as `level` allows; 0 leaves every text as it is. */
export function styleOf(level: 0 | 1 | 2 | 3): Style {
  if (level === 0) return PLAIN;
  const chalk = new Chalk({ level });
  return {
    strong: text => chalk.bold(text),
    faint: text => chalk.dim(text),
    error: text => chalk.red.bold(text),
    warning: text => chalk.yellow.bold(text),
    good: text => chalk.green(text),
  };
}

const PLAIN: Style = {
  strong: text => text,
  faint: text => text,
  error: text => text,
  warning: text => text,
  good: text => text,
};
