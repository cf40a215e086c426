import type { Command } from 'commander';
import { recall } from '../../analysis/trend/recall.ts';
import { type LoggedWords, readLoggedWords } from '../../data/logged-syringes.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { renderRecall } from '../../report/text/render-recall.ts';
import { readDataText } from '../data/read-data.ts';
import { finishOnData } from '../data/run-on-data.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { recallCsv } from '../write/recall-csv.ts';

const HELP = `
Looks through check logs for a lot of resin, or for a syringe, and lists every syringe of it, the
recipes it served and when. Lines that name it otherwise (other capitals, marks or zeros) or not
at all are listed beside, to be looked at by hand. Status 1 when a line could not be read: the
list may then be short.

Examples:
  $ dwellbook recall --lot L-0412 checks.csv
  $ dwellbook recall --lot L-0412 logs/line-1.csv logs/line-2.csv -o recall.csv
  $ dwellbook recall --syringe S-118 checks.csv --json

A check log knows what was checked, not what was made: travellers and batch records say which
connectors came after each check.
`;

export const command: CommandModule = {
  define(command: Command): void {
    command
      .argument('<log...>', 'check logs, or - for standard input')
      .optionsGroup('What to look for:')
      .option('--lot <name>', 'a lot of resin')
      .option('--syringe <name>', 'a syringe')
      .option('-o, --out <file>', 'the lines found as a CSV')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const lot = nameOf(call, 'lot');
    const syringe = nameOf(call, 'syringe');
    if ((lot === null) === (syringe === null)) throw new UsageError('name one of --lot and --syringe');
    const lines: LoggedWords[] = [];
    const diagnostics: Diagnostic[] = [];
    let complete = true;
    for (const path of new Set(call.args)) {
      const { text, diagnostics: bad } = await readDataText(call.io, path);
      const log = text === null ? { lines: [], complete: false, diagnostics: bad } : readLoggedWords(text, path);
      lines.push(...log.lines);
      diagnostics.push(...log.diagnostics);
      complete &&= log.complete;
    }
    const result = recall({ lot, syringe, lines, complete });
    if (call.out !== null) call.io.writeFile(call.out, recallCsv(result.checks));
    finishOnData(call, { result, diagnostics }, found => renderRecall(found, call.view));
    return complete ? EXIT.done : EXIT.unsound;
  },
};

function nameOf(call: Call, option: 'lot' | 'syringe'): string | null {
  const value = call.flags[option];
  if (typeof value !== 'string') return null;
  const name = value.trim();
  if (name === '') throw new UsageError(`--${option}: the name is empty`);
  return name;
}
