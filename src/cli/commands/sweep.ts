import type { Command } from 'commander';
import { GRID_LIMITS, type GridAxis, gridAxis, gridPoint, gridSize } from '../../analysis/changes/sweep-grid.ts';
import type { SweepResult } from '../../analysis/changes/sweep-result.ts';
import { keyProblem, unknownKeyText } from '../../analysis/changes/take-results.ts';
import { type Diagnostic, OVERRIDE_FILE } from '../../diagnostics/finding.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { renderSweep } from '../../report/text/render-sweep.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { recipeTitle } from '../../report/words/recipe-title.ts';
import { wholeNumber } from '../options/number-option.ts';
import { findRecipes, type RecipeInput } from '../recipes/find-recipes.ts';
import { addRecipeArguments, collect } from '../recipes/recipe-options.ts';
import { sourceLines } from '../recipes/source-lines.ts';
import { addShardOption, ownUnits, shardOf } from '../shard/shard.ts';
import { writeShard } from '../shard/write-shard.ts';
import { loadPoint, type PointOutcome, type SweepBase, sweepFiles } from '../sweep/sweep-point.ts';
import { runSweep } from '../sweep/sweep-run.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { progressLine } from '../terminal/progress-line.ts';
import { writeOutput } from '../terminal/write-output.ts';
import { sweepCsv } from '../write/sweep-csv.ts';
import { writePicture } from '../write/write-picture.ts';

const HELP = `
--grid names a recipe value and what it takes: from:to:steps (steps counts the values, both ends among
them), from:to:steps:log, or a list. Values carry their unit. Several --grid make every combination.
--take names values of results, as \`--json\` of the command has them: shot.volume_uL,
ramp.worst_error_pct, cavity.backfill_aim_uL, setpoint.chosen.dwell_s; of cavity, shot, setpoint, ramp, gauge,
mix, insert, oven and spread. A point that cannot be computed is empty, with the number of its findings.

Examples:
  $ dwellbook sweep slim.yaml \\
      --grid "resin.rheology.viscosity=1 Pa.s:8 Pa.s:15:log" \\
      --take setpoint.chosen.dwell_s,setpoint.chosen.pressure_kPa
  $ dwellbook sweep slim.yaml --grid "process.temperature=18:30 degC:7" \\
      --grid needle.gauge=20,21,22 \\
      --take ramp.worst_error_pct -o ramp.svg
  $ dwellbook sweep slim.yaml --grid "settings.pressure=100:400 kPa:31" \\
      --take shot.volume_uL -o shots.csv
`;

export const command: CommandModule = {
  define(command: Command): void {
    addShardOption(addRecipeArguments(command).optionsGroup('The sweep:'))
      .requiredOption('--grid <path=values>', 'a recipe value and what it takes; repeatable', collect)
      .requiredOption('--take <keys>', 'values of results, separated by commas; repeatable', collect)
      .option('--workers <n>', 'threads; default: as many as the machine runs at once', wholeNumber(1))
      .option('-o, --out <file>', 'write a .csv, or a chart as .svg or .pdf; else text or JSON')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const axes = axesOf(call);
    const take = takeOf(call);
    const base = await baseOf(call, take);
    const shard = shardOf(call);
    if (shard === null) await requireShape(call, axes);
    const { name } = await probe(call, base, axes);
    const units = Array.from({ length: gridSize(axes) }, (_, i) => String(i));
    const own = shard === null ? units.map(Number) : ownUnits(units, shard);
    const { progress, clear } = progressOf(call);
    const computed = await runSweep({
      base,
      points: own.map(index => overridesOf(axes, index)),
      files: call.io.files,
      workers: call.flags['workers'] as number | undefined,
      progress,
    });
    clear();
    const why = own[0] === 0 && computed[0]!.failed ? await whyFirst(call, base, axes) : [];
    const points = computed.map((outcome, i) => (own[i] === 0 ? { ...outcome, why } : outcome));
    if (shard !== null) {
      const done = points.map((point, i) => [own[i]!, point] as const);
      return writeShard(call, shard, { units, done, whole: { name } });
    }
    const unknown = unknownKeys(take, points);
    if (unknown.length > 0) throw await unknownKeysError(call, base, axes, { unknown, points });
    return finish(call, { file: base.file, name, take, axes, points });
  },
};

/** A point, the first of all with what keeps it from being computed. */
type Point = PointOutcome & { readonly why?: readonly Diagnostic[] };

interface Points {
  readonly file: string;
  readonly name: string | null;
  readonly take: readonly string[];
  readonly axes: readonly GridAxis[];
  readonly points: readonly Point[];
}

/** The end of a sweep whose points were computed in shards. */
export async function finishSweep(call: Call, whole: unknown, pieces: readonly unknown[]): Promise<ExitStatus> {
  const { name } = whole as { name: string | null };
  const points = pieces as readonly Point[];
  const [take, axes] = [takeOf(call), axesOf(call)];
  await requireShape(call, axes);
  const unknown = unknownKeys(take, points);
  if (unknown.length > 0) throw new UsageError(`--take ${unknown.join(', ')}: no point has such a result`);
  return finish(call, { file: call.args[0] ?? '', name, take, axes, points });
}

async function finish(call: Call, all: Points): Promise<ExitStatus> {
  const { file, name, take, axes, points } = all;
  const result = resultOf(axes, take, points);
  const failed = result.failed === points.length;
  const why = failed ? (points[0]?.why ?? []) : [];
  await write(call, { file, name, result, why });
  if (failed && call.format !== 'json') {
    call.io.stderr(`error: no point of the grid could be computed; the first one:\n`);
    const set = [...call.set, ...overridesOf(axes, 0)];
    call.io.stderr(renderDiagnostics(why, call.messages, sourceLines(call.io.files, set)));
  }
  return failed ? EXIT.unsound : EXIT.done;
}

function axesOf(call: Call): GridAxis[] {
  const axes = (call.flags['grid'] as string[]).map(text => {
    const axis = gridAxis(text);
    if (typeof axis === 'string') throw new UsageError(`--grid ${text}: ${axis}`);
    return axis;
  });
  const twice = axes.find(({ path }, i) => axes.findIndex(other => other.path === path) !== i);
  if (twice !== undefined) throw new UsageError(`--grid ${twice.path} stands twice; give all its values in one`);
  if (gridSize(axes) > GRID_LIMITS.points) {
    throw new UsageError(`the grid has ${gridSize(axes)} points, more than ${GRID_LIMITS.points}`);
  }
  return axes;
}

function takeOf(call: Call): string[] {
  const keys = (call.flags['take'] as string[]).flatMap(text => text.split(',')).map(key => key.trim());
  const problems = keys.map(keyProblem).filter(problem => problem !== null);
  if (problems.length > 0) throw new UsageError(problems.map(problem => `--take ${problem}`).join('\nerror: '));
  return [...new Set(keys)];
}

async function baseOf(call: Call, take: readonly string[]): Promise<SweepBase> {
  const { recipes } = await findRecipes(call.args, call.io);
  if (recipes.length > 1) throw new UsageError(`sweep is about one recipe, but there are ${recipes.length}; name one`);
  const { file, files } = recipes[0] as RecipeInput;
  const text = file === '-' ? files.readBytes(file) : null;
  return { file, text, folder: call.io.currentFolder, root: call.root, set: call.set, take };
}

/** What a picture cannot show is said before the work is done. */
async function requireShape(call: Call, axes: readonly GridAxis[]): Promise<void> {
  if (call.out === null || !/\.(?:svg|pdf)$/i.test(call.out)) return;
  const { linesOf, MOST_LINES } = await import('../../report/chart/sweep-chart.ts');
  const lines = linesOf({ grid: axes.map(gridKeys) });
  if (lines <= MOST_LINES) return;
  throw new UsageError(
    `a chart of ${lines} lines cannot be read; ${MOST_LINES} at most: fewer values after the first --grid`,
  );
}

/** Codes that say that an override is no value of a recipe, whatever its number. */
const NO_VALUE = /^(?:override-|key-unknown|unit-|number-|value-type|value-unknown|expression-|consistency-)/;

/** Loads the first point, in which a wrong path or unit shows. Throws: UsageError with what would do. */
async function probe(call: Call, base: SweepBase, axes: readonly GridAxis[]): Promise<{ name: string | null }> {
  const loaded = await loadPoint(base, overridesOf(axes, 0), sweepFiles(call.io.files));
  const wrong = loaded.findings.filter(({ file, code }) => file === OVERRIDE_FILE && NO_VALUE.test(code));
  if (wrong.length === 0) return { name: loaded.recipe?.name ?? null };
  const texts = wrong.map(({ line, message, help }) => {
    const axis = axes[line - 1 - base.set.length];
    const option = axis === undefined ? `--set ${base.set[line - 1]}` : `--grid ${axis.path}`;
    return `${option}: ${message}${help === null ? '' : `; ${help}`}`;
  });
  throw new UsageError(texts.join('\nerror: '));
}

function progressOf(call: Call): { progress: (share: number) => void; clear: () => void } {
  const line = progressLine(call.io, 'sweep');
  return { progress: line.show, clear: line.clear };
}

function overridesOf(axes: readonly GridAxis[], index: number): string[] {
  return gridPoint(axes, index).map(({ text }, i) => `${axes[i]!.path}=${text}`);
}

/** Keys that no point has that could be computed. */
function unknownKeys(take: readonly string[], points: readonly Point[]): string[] {
  const computed = points.filter(({ failed }) => !failed);
  return take.filter(key => computed.length > 0 && computed.every(({ unknown }) => unknown.includes(key)));
}

/** Says the nearest key of each. */
async function unknownKeysError(
  call: Call,
  base: SweepBase,
  axes: readonly GridAxis[],
  { unknown, points }: { readonly unknown: readonly string[]; readonly points: readonly Point[] },
): Promise<UsageError> {
  const first = points.findIndex(({ failed }) => !failed);
  const { recipe } = await loadPoint(base, overridesOf(axes, first), sweepFiles(call.io.files));
  return new UsageError(unknown.map(key => `--take ${unknownKeyText(recipe!, key)}`).join('\nerror: '));
}

function gridKeys({ path, unit, spacing, values }: GridAxis): SweepResult['grid'][number] {
  return { path, unit, spacing, values: values.map(({ text, number }) => number ?? text) };
}

function resultOf(axes: readonly GridAxis[], take: readonly string[], outcomes: readonly PointOutcome[]): SweepResult {
  return {
    grid: axes.map(gridKeys),
    take,
    points: outcomes.map(({ results, diagnostics }, index) => ({
      values: gridPoint(axes, index).map(({ text, number }) => number ?? text),
      results,
      diagnostics,
    })),
    failed: outcomes.filter(({ failed }) => failed).length,
  };
}

interface Swept {
  readonly file: string;
  readonly name: string | null;
  readonly result: SweepResult;
  /** Findings of the first point, where no point could be computed. */
  readonly why: readonly Diagnostic[];
}

async function write(call: Call, swept: Swept): Promise<void> {
  const { out, io } = call;
  const { file, name, result } = swept;
  if (out !== null && /\.csv$/i.test(out)) io.writeFile(out, sweepCsv(result));
  else if (out !== null && /\.(?:svg|pdf)$/i.test(out)) {
    const { sweepCharts } = await import('../../report/chart/sweep-chart.ts');
    const title = name ?? file;
    await writePicture(io, out, { title, made: file, draw: measure => sweepCharts(result, title, measure) });
  } else {
    writeOutput(call, textOf(call, swept));
    return;
  }
  if (call.format === 'json') io.stdout(textOf(call, swept));
  else io.stderr(`${out}: ${result.points.length} points, ${result.failed} of them could not be computed\n`);
}

function textOf(call: Call, { file, name, result, why }: Swept): string {
  if (call.format === 'json') {
    return jsonText(resultDocument({ command: 'sweep', recipe: file, name, result, diagnostics: why }));
  }
  const title = recipeTitle(name, file, call.view);
  return `${title}\n\n${renderSweep(result, call.view)}\n`;
}

/** What is wrong with the first point is most likely wrong with all, should none be computed. */
async function whyFirst(call: Call, base: SweepBase, axes: readonly GridAxis[]): Promise<Diagnostic[]> {
  const loaded: LoadedRecipe = await loadPoint(base, overridesOf(axes, 0), sweepFiles(call.io.files));
  const { diagnosticsOfPoint } = await import('../sweep/sweep-failure.ts');
  return diagnosticsOfPoint(loaded, base.take);
}
