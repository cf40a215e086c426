import { type Command, Option } from 'commander';
import { type TrendOptions, type TrendResult, trend } from '../../analysis/trend/trend.ts';
import type { GivenColumn } from '../../data/csv/csv.ts';
import { readTrendGroups, type TrendGroup, type TrendGroupsReading } from '../../data/trend-groups.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { trendCharts } from '../../report/chart/trend-charts.ts';
import { renderTrend } from '../../report/text/render-trend.ts';
import { readDataText } from '../data/read-data.ts';
import { finishOnData, noteTaken } from '../data/run-on-data.ts';
import { columnNumber } from '../options/column-number.ts';
import { givenColumns } from '../options/column-option.ts';
import { positiveNumber } from '../options/number-option.ts';
import { collect } from '../recipes/recipe-options.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requirePictureName, writePicture } from '../write/write-picture.ts';

const HELP = `
Reads any CSV with a header, the check log of \`release\` among them. Without --subgroup every row
is a point; a whole number puts so many rows into a subgroup, a name all rows with the same cell.
--by makes a chart of its own for each lot, syringe or operator; checks of several recipes are
apart in any case. Numbers are in the unit of the
column.

Examples:
  $ dwellbook trend checks.csv
  $ dwellbook trend checks.csv --by lot -o lots.pdf
  $ dwellbook trend checks.csv --column "mean [uL]" --lower 2.9 --upper 4.6
  $ dwellbook trend weighings.csv --column mass --subgroup 5 --chart xbar-s
  $ dwellbook trend checks.csv --chart ewma --lambda 0.2 --target 3.75

Rules by number: 1 a point beyond three sigma, 2 nine on one side, 3 six rising or falling,
4 fourteen alternating, 5 two of three beyond two sigma, 6 four of five beyond one, 7 fifteen
within one, 8 eight beyond one.
`;

/** Result of a trend of one group; null where it has too few readings. */
interface GroupResult {
  readonly group: string | null;
  readonly result: TrendResult | null;
}

export const command: CommandModule = {
  define(command: Command): void {
    command
      .argument('<data>', 'CSV file, or - for standard input')
      .optionsGroup('The readings:')
      .option(
        '--column <name>',
        'column of the readings (default: mean); mean="Mittel" gives a head another name',
        collect,
      )
      .option('--by <column>', 'a chart for each of its cells: lot, syringe, operator, recipe')
      .option('--subgroup <column|size>', 'rows that belong together')
      .option('--label <column>', 'names of the points')
      .optionsGroup('The chart:')
      .addOption(new Option('--chart <kind>', 'which one').choices(['imr', 'xbar-r', 'xbar-s', 'ewma']))
      .option('--lambda <number>', 'weight of the newest reading in an EWMA; default: 0.2', positiveNumber)
      .option('--sigma <number>', 'standard deviation of a reading, from before')
      .option('--target <number>', 'center line, from before')
      .option('--lower <number>', 'lower specification limit, for the capability')
      .option('--upper <number>', 'upper specification limit')
      .option('--rules <list>', 'run rules by number, separated by commas; default: 1,2,3,4')
      .addOption(new Option('--one-side <n>', 'points on one side for rule 2; default: 9').choices(['8', '9']))
      .option('-o, --out <file>', 'also draw it: .svg or .pdf')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const [path = ''] = call.args;
    if (call.out !== null) requirePictureName(call.out);
    const data = await readDataText(call.io, path);
    if (data.text === null) return finishOnData<never>(call, { result: null, ...data }, () => '');
    const { columns, given } = columnsOf(call);
    const read = readTrendGroups(data.text, path, columns, given);
    noteTaken(call, path, read.taken);
    const options = optionsOf(call, read.column?.unit ?? null);
    if (read.groups === null)
      return finishOnData<never>(call, { result: null, diagnostics: read.diagnostics }, () => '');
    const { groups, diagnostics } = trends(read, read.groups, options);
    const shown = groups.filter((g): g is GroupResult & { result: TrendResult } => g.result !== null);
    if (call.out !== null && shown.length > 0) {
      await writePicture(call.io, call.out, {
        title: `Trend: ${pictureTitle(null, read, path)}`,
        made: path,
        draw: measure => shown.flatMap(g => trendCharts(g.result, pictureTitle(g.group, read, path), measure)),
      });
    }
    const all = [...read.diagnostics, ...diagnostics];
    const text = () => shown.map(g => renderTrend(g.result, titleOf(g.group, read), call.view)).join('\n\n\n');
    if (shown.length === 0) return finishOnData<never>(call, { result: null, diagnostics: all }, () => '');
    const { taken } = read;
    if (read.by === null)
      return finishOnData(call, { result: { ...shown[0]!.result, data: taken }, diagnostics: all }, text);
    finishOnData(call, { result: { by: call.flags['by'] ?? read.by, groups, data: taken }, diagnostics: all }, text);
    return EXIT.done;
  },
};

type TrendColumns = Parameters<typeof readTrendGroups>[2];

/** The column of readings and those beside it. Of `--column` one text names the readings, those with a sign of equality give names. */
function columnsOf({ flags }: Call): { columns: TrendColumns; given: GivenColumn[] } {
  const { by, label, subgroup } = flags as { by?: string; label?: string; subgroup?: string };
  const texts = (flags['column'] as string[] | undefined) ?? [];
  const named = texts.filter(text => !text.includes('='));
  if (named.length > 1) throw new UsageError(`--column ${named[1]}: the readings are in one column, ${named[0]}`);
  const given = givenColumns(texts.filter(text => text.includes('=')));
  const column = named[0] ?? 'mean';
  const size = subgroup !== undefined && /^\d+$/.test(subgroup) ? Number(subgroup) : subgroup;
  if (size === 0) throw new UsageError('--subgroup 0: write a whole number above zero, or the name of a column');
  const columns = {
    column,
    ...(by !== undefined && { by }),
    ...(label !== undefined && { label }),
    ...(size !== undefined && { subgroup: size }),
  };
  return { columns, given };
}

function optionsOf({ flags }: Call, unit: string | null): TrendOptions {
  const { chart, lambda, oneSide, rules, subgroup } = flags as {
    chart?: NonNullable<TrendOptions['chart']>;
    lambda?: number;
    oneSide?: string;
    rules?: string;
    subgroup?: string;
  };
  const numbers = Object.fromEntries(
    (['sigma', 'target', 'lower', 'upper'] as const).flatMap(name => {
      const text = flags[name];
      return typeof text === 'string' ? [[name, columnNumber(`--${name}`, text, unit)]] : [];
    }),
  );
  return {
    ...numbers,
    ...(chart !== undefined && { chart }),
    ...(lambda !== undefined && { lambda }),
    ...(oneSide !== undefined && { oneSide: Number(oneSide) }),
    ...(rules !== undefined && { rules: rulesOf(rules) }),
    ...(subgroup !== undefined && /^\d+$/.test(subgroup) && { subgroupSize: Number(subgroup) }),
  };
}

function rulesOf(text: string): number[] {
  const parts = text.split(',').map(part => part.trim());
  if (parts.some(part => !/^[1-8]$/.test(part)))
    throw new UsageError(`--rules ${text}: write numbers from 1 to 8: 1,2,5`);
  return parts.map(Number);
}

/** Trends of all groups. What keeps one of several from having a chart is a warning: the others have theirs. */
function trends(
  read: TrendGroupsReading,
  groups: readonly TrendGroup[],
  options: TrendOptions,
): { groups: GroupResult[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const done = groups.map(({ name, data }): { result: GroupResult; findings: ReturnType<typeof trend>['findings'] } => {
    const { result, findings } = trend(data, options);
    return { result: { group: name, result }, findings };
  });
  const some = done.some(d => d.result.result !== null);
  for (const { result, findings } of done) {
    for (const f of findings) {
      const severity = some && result.result === null ? 'warning' : f.severity;
      const message =
        result.group === null ? f.message : `${result.group === '' ? '(empty)' : result.group}: ${f.message}`;
      diagnostics.push(placed({ ...f, severity, message }, read.column!.place));
    }
  }
  return { groups: done.map(d => d.result), diagnostics };
}

/** A picture goes about without its file: it names the recipe, or the data where there is no recipe. */
function pictureTitle(group: string | null, read: TrendGroupsReading, path: string): string {
  return `${read.recipe ?? (path === '-' ? 'readings' : path)}: ${titleOf(group, read)}`;
}

function titleOf(group: string | null, read: TrendGroupsReading): string {
  const name = read.column?.name ?? 'readings';
  return group === null ? name : `${name}, ${read.by} ${group === '' ? '(empty)' : group}`;
}
