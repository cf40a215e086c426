import type { Command } from 'commander';
import type { QuantityOption } from './quantity-option.ts';

/** What a setting is made of, as options that carry a quantity. */
export const SETTING_OPTIONS = {
  pressure: { kind: 'pressure', least: 'above zero' },
  dwell: { kind: 'time', least: 'above zero' },
} as const satisfies Record<string, QuantityOption>;

/** Which resin it is. */
export const RESIN_OPTIONS = {
  temperature: { kind: 'temperature', least: 'above zero' },
  lotFactor: { kind: 'factor', least: 'above zero' },
} as const satisfies Record<string, QuantityOption>;

/** The same at one age. */
export const AGED_RESIN_OPTIONS = {
  age: { kind: 'time', least: 'zero or above' },
  ...RESIN_OPTIONS,
} as const satisfies Record<string, QuantityOption>;

/** Declares {@link RESIN_OPTIONS}. */
export function addResinOptions(command: Command): Command {
  return command
    .option('--temperature <quantity>', 'of the resin, in place of `process.temperature`')
    .option('--lot-factor <number>', "viscosity of this lot over the recipe's");
}

/** Declares {@link AGED_RESIN_OPTIONS}. */
export function addAgedResinOptions(command: Command): Command {
  return addResinOptions(command.option('--age <quantity>', 'time since the resin was mixed'));
}
