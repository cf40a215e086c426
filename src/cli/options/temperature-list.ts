import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { quantityList } from './quantity-list.ts';

/** More rows than a table of dwells is read with. */
const MOST = 40;

/** Temperatures of `--grid-temperatures` [K], each once, in order; undefined where it is not given. */
export async function temperatureList({ flags }: Call): Promise<readonly number[] | undefined> {
  const text = flags['gridTemperatures'];
  if (typeof text !== 'string') return undefined;
  const values = await quantityList('--grid-temperatures', text, { kind: 'temperature', least: 'above zero' });
  if (values.length > MOST) throw new UsageError(`--grid-temperatures: ${values.length} are more than ${MOST}`);
  return [...new Set(values)].sort((a, b) => a - b);
}
