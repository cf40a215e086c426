import { parseQuantityLoading } from '../../units/parse-quantity-loading.ts';
import type { QuantityKind } from '../../units/quantity-kind.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** What an option of a quantity takes; `least` says whether zero is allowed. */
export interface QuantityOption {
  readonly kind: QuantityKind;
  readonly least: 'above zero' | 'zero or above';
}

/**
 * SI values of the options that carry a quantity, by their camel-case names; those not given are absent.
 * Throws: UsageError that says what was found and what would do.
 */
export async function quantityFlags<K extends string>(
  call: Call,
  options: Readonly<Record<K, QuantityOption>>,
): Promise<{ [name in K]?: number }> {
  const values: { [name in K]?: number } = {};
  for (const [name, option] of Object.entries(options) as [K, QuantityOption][]) {
    const text = call.flags[name];
    if (typeof text === 'string') values[name] = await quantityOf(flagName(name), text, option);
  }
  return values;
}

/** SI value of a text that belongs to an option. Throws: UsageError as above. */
export async function quantityOf(flag: string, text: string, { kind, least }: QuantityOption): Promise<number> {
  const parsed = await parseQuantityLoading(text, kind);
  if (!parsed.ok) throw new UsageError(`${flag}: ${parsed.message}${parsed.help === null ? '' : `; ${parsed.help}`}`);
  if (parsed.halfWidth !== null) throw new UsageError(`${flag}: "${text}" has a tolerance; give the value alone`);
  if (parsed.value < 0 || (parsed.value === 0 && least === 'above zero')) {
    throw new UsageError(`${flag}: "${text}" must be ${least}`);
  }
  return parsed.value;
}

export function flagName(camelCase: string): string {
  return `--${camelCase.replace(/[A-Z]/g, letter => `-${letter.toLowerCase()}`)}`;
}
