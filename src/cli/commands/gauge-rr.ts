import { type Command, Option } from 'commander';
import { type GaugeRrOptions, gaugeRr } from '../../analysis/trend/gauge-rr.ts';
import { columnNamed } from '../../data/columns/find-column.ts';
import { type GivenColumn, readCsv } from '../../data/csv/csv.ts';
import { readGaugeData } from '../../data/trend-data.ts';
import { placed } from '../../diagnostics/finding.ts';
import { gaugeRrCharts } from '../../report/chart/gauge-rr-charts.ts';
import { renderGaugeRr } from '../../report/text/render-gauge-rr.ts';
import { readDataText } from '../data/read-data.ts';
import { finishOnData, noteTaken } from '../data/run-on-data.ts';
import { columnNumber } from '../options/column-number.ts';
import { COLUMN_HELP, givenColumns } from '../options/column-option.ts';
import { collect } from '../recipes/recipe-options.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requirePictureName, writePicture } from '../write/write-picture.ts';

const HELP = `
A crossed study: every operator measures every part equally often, two times at least, without
knowing the earlier readings. The tolerance is its full width, in the unit of the readings.

Examples:
  $ dwellbook gauge-rr study.csv --part dot --operator reader --value diameter
  $ dwellbook gauge-rr study.csv --tolerance 0.3 -o study.pdf
  $ dwellbook gauge-rr study.csv --method range --json
`;

export const command: CommandModule = {
  define(command: Command): void {
    command
      .argument('<data>', 'CSV file, or - for standard input')
      .optionsGroup('The study:')
      .option('--part <column>', 'column that names the part', 'part')
      .option('--operator <column>', 'column that names the operator', 'operator')
      .option('--value <column>', 'column of the readings', 'value')
      .option('--column <name=head>', COLUMN_HELP, collect)
      .option('--tolerance <number>', 'full width of the tolerance')
      .addOption(new Option('--method <method>', 'how').choices(['anova', 'range']).default('anova'))
      .option('-o, --out <file>', 'also draw it: .svg or .pdf')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const [path = ''] = call.args;
    if (call.out !== null) requirePictureName(call.out);
    const { part, operator, value } = call.flags as { part: string; operator: string; value: string };
    const { text, diagnostics: bad } = await readDataText(call.io, path);
    if (text === null) return finishOnData<never>(call, { result: null, diagnostics: bad }, () => '');
    const given = givenColumns((call.flags['column'] as string[] | undefined) ?? []);
    const { data, taken, diagnostics } = readGaugeData(text, path, { part, operator, value }, given);
    noteTaken(call, path, taken);
    if (data === null) return finishOnData<never>(call, { result: null, diagnostics }, () => '');
    const { result, findings } = gaugeRr(data, optionsOf(call, data.unit));
    if (call.out !== null && result !== null) {
      const title = `Gauge study of ${path === '-' ? 'readings' : path}: ${value}`;
      await writePicture(call.io, call.out, {
        ...{ title, made: path },
        draw: measure => gaugeRrCharts(result, { input: data, title, measure }),
      });
    }
    const place = valuePlace(text, path, value, given);
    const all = [...diagnostics, ...findings.map(f => placed(f, place))];
    const shown = result === null ? null : { ...result, data: taken };
    return finishOnData(call, { result: shown, diagnostics: all }, study => renderGaugeRr(study, call.view));
  },
};

function optionsOf({ flags }: Call, unit: string | null): GaugeRrOptions {
  const { method, tolerance } = flags as { method: NonNullable<GaugeRrOptions['method']>; tolerance?: string };
  return { method, ...(tolerance !== undefined && { tolerance: columnNumber('--tolerance', tolerance, unit) }) };
}

/** Where findings about the study as a whole stand: at the head of its readings. */
function valuePlace(text: string, path: string, value: string, given: readonly GivenColumn[]) {
  const start = { file: path, line: 1, column: 1, end_line: 1, end_column: 1 };
  const { table } = readCsv(text, path, given);
  const column = table === null ? null : columnNamed(table, value);
  return table === null || column === null || 'code' in column ? start : table.place(-1, column.index);
}
