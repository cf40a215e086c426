import type { GivenColumn } from '../../data/csv/csv.ts';
import { plainName, splitHeader } from '../../data/csv/heads.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** What `--help` says of it. */
export const COLUMN_HELP = 'a column by its head: mass="Masse mg", or "mass [mg]=Masse"; repeatable';

/**
 * Columns of `--column name=head`; the name may carry the unit. `known` are the names that the command reads; absent: any.
 * Throws: UsageError for another form, an unknown name, or a name that is given twice.
 */
export function givenColumns(texts: readonly string[], known?: readonly string[]): GivenColumn[] {
  const columns = texts.map((text): GivenColumn => {
    const [, left = '', head = ''] = /^([^=]*)=(.*)$/s.exec(text) ?? [];
    const { name, unit } = splitHeader(left);
    if (name === '' || head.trim() === '')
      throw new UsageError(`--column ${text}: write name=head, as mass="Masse mg"`);
    const own = known === undefined ? name : known.find(n => plainName(n) === plainName(name));
    if (own === undefined) {
      const names = known!.join(', ');
      throw new UsageError(`--column ${text}: ${didYouMean(name, known!) ?? `names are ${names}`}`);
    }
    return { name: own, unit, head: head.trim() };
  });
  const twice = columns.find(({ name }, i) => columns.findIndex(c => c.name === name) < i);
  if (twice !== undefined) throw new UsageError(`--column ${twice.name}=…: it is given twice`);
  return columns;
}
