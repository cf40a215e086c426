import type { FitOptions } from '../../analysis/fit/fit.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import type { QuantityKind } from '../../units/quantity-kind.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { quantityOf } from './quantity-option.ts';

const KINDS = {
  viscosity_factor: 'factor',
  pressure_offset: 'pressure',
  dead_time: 'time',
} as const satisfies Record<string, QuantityKind>;

type Name = keyof typeof KINDS;

/**
 * SI values of `--fix name=value`; a zero needs no unit, an offset may be below zero.
 * Throws: UsageError for an unknown name or what is no such quantity.
 */
export async function fixedParameters(texts: readonly string[]): Promise<NonNullable<FitOptions['fixed']>> {
  const fixed: { [name in Name]?: number } = {};
  for (const text of texts) {
    const [, name = '', value = ''] = /^([^=]*)=(.*)$/.exec(text.trim()) ?? [];
    if (!Object.hasOwn(KINDS, name)) {
      const names = Object.keys(KINDS);
      throw new UsageError(
        `--fix ${text}: write name=value; ${didYouMean(name, names) ?? `names are ${names.join(', ')}`}`,
      );
    }
    fixed[name as Name] = await fixedValue(name as Name, value.trim());
  }
  return fixed;
}

async function fixedValue(name: Name, text: string): Promise<number> {
  const kind = KINDS[name];
  if (kind !== 'factor' && /^[-+]?0+(\.0*)?$/.test(text)) return 0;
  const negative = text.startsWith('-');
  const least = kind === 'factor' ? 'above zero' : 'zero or above';
  const size = await quantityOf(`--fix ${name}`, negative ? text.slice(1).trim() : text, { kind, least });
  if (negative && name !== 'pressure_offset') throw new UsageError(`--fix ${name}: "${text}" must be ${least}`);
  return negative ? -size : size;
}
