import type { Command } from 'commander';
import { type FitOptions, type FitResult, type FitRow, fit as fitTrials } from '../../analysis/fit/fit.ts';
import { cureCurveOf, fitCure } from '../../analysis/fit/fit-cure.ts';
import { fitFlowCurve, flowCurveOf } from '../../analysis/fit/fit-flow-curve.ts';
import type { FittedModel } from '../../analysis/fit/fit-model.ts';
import { cureBlock, type FittedBlock, rheologyBlock } from '../../analysis/fit/fitted-block.ts';
import { type Needless, needlessParameters } from '../../analysis/fit/needless-parameters.ts';
import type { DataTaken } from '../../data/columns/data-taken.ts';
import type { GivenColumn } from '../../data/csv/csv.ts';
import { isCheckLog, readLoggedTrials } from '../../data/logged-trials.ts';
import { type DataReading, FIT_COLUMNS, readCureCurve, readFlowCurve, readTrialData } from '../../data/trial-data.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { mergeRepeated } from '../../diagnostics/repeated.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { cureCharts, flowCurveCharts } from '../../report/chart/curve-charts.ts';
import type { Drawing } from '../../report/chart/drawing.ts';
import { fitCharts } from '../../report/chart/fit-charts.ts';
import type { TextMeasure } from '../../report/page/text-measure.ts';
import { renderFit, renderFittedModels } from '../../report/text/render-fit.ts';
import { conditionWarnings, placeRowFindings, withoutTare } from '../data/fit-data.ts';
import { type DataText, readDataText } from '../data/read-data.ts';
import { noteTaken } from '../data/run-on-data.ts';
import { COLUMN_HELP, givenColumns } from '../options/column-option.ts';
import { fixedParameters } from '../options/fix-option.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import { addRecipeOptions, collect } from '../recipes/recipe-options.ts';
import { runOnRecipes, type WorkOutcome } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { requireRecipeFile, writeCalibration, writeModel } from '../write/write-fit.ts';
import { requirePictureName, writePicture } from '../write/write-picture.ts';

const HELP = `
Trial data are a CSV as \`trials\` writes it: pressure, dwell, shots, mass or diameter, and age and
temperature where they are known. Fitted are a viscosity factor, a pressure offset and a dead time:

  V = Q(pressure - offset) * (dwell - dead time) / factor

--write puts them with their doubt into \`calibration\` of the recipe; every command uses them from
then on. An offset or dead time that may be zero, and that AICc does without, is left out. With
--flow-curve all flow models are fitted to a rheometer's curve, with --cure the cure models to
thickening with age; --write then puts the best, or --model, into the recipe. A flow curve keeps the
shear rates it was measured between; where models that fit as well give shots that differ by more
than the tolerance, only --model writes one.

Examples:
  $ dwellbook fit slim.yaml runs.csv
  $ dwellbook fit slim.yaml runs.csv --fix dead_time=0 -o residuals.pdf
  $ dwellbook fit slim.yaml runs.csv --tare "812 mg" --write
  $ dwellbook fit slim.yaml --flow-curve amber-40.csv -o curve.svg
  $ dwellbook fit slim.yaml --cure thickening.csv --write --model pot-life
`;

const OPTIONS = {
  tare: { kind: 'mass', least: 'zero or above' },
  readability: { kind: 'mass', least: 'above zero' },
  readingError: { kind: 'length', least: 'above zero' },
} as const;

type Written = { readonly written: string | null; readonly data: DataTaken | null };

/** A data file with the columns that the call names. */
interface FitInput {
  readonly file: string;
  readonly data: DataText;
  readonly given: readonly GivenColumn[];
}

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeOptions(command.argument('<recipe>', 'recipe file').argument('[data]', 'trial data, a CSV file'))
      .optionsGroup('The data:')
      .option('--flow-curve <file>', "a rheometer's flow curve in place of trial data")
      .option('--cure <file>', 'viscosity with age in place of trial data')
      .option('--column <name=head>', COLUMN_HELP, collect)
      .option('--tare <quantity>', 'mass of the pan, contained in every mass')
      .option('--readability <quantity>', 'smallest step of the balance; weights the rows')
      .option('--reading-error <quantity>', 'half-width of a misread dot; weights the rows')
      .optionsGroup('The fit:')
      .option('--fix <name=value>', 'keep viscosity_factor, pressure_offset or dead_time; repeatable', collect)
      .option('--write', 'write the result into the recipe file')
      .option('--model <name>', 'with --flow-curve or --cure: write this one, not the best')
      .option('--date <date>', 'day of the calibration, YYYY-MM-DD; default: today')
      .option('-o, --out <file>', 'draw the residuals, and the curve if there is one: .svg or .pdf')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const [recipe = '', trialFile] = call.args;
    const { flowCurve, cure } = call.flags as { flowCurve?: string; cure?: string };
    const named = [trialFile, flowCurve, cure].filter(file => file !== undefined);
    if (named.length !== 1) throw new UsageError('name one data file: trials.csv, --flow-curve FILE or --cure FILE');
    if (recipe === '-' && named[0] === '-') throw new UsageError('only one of recipe and data can be standard input');
    if (call.flags['write'] === true) requireRecipeFile(call, recipe);
    if (call.flags['model'] !== undefined && call.flags['write'] !== true)
      throw new UsageError('--model goes with --write');
    const file = named[0]!;
    const kind = trialFile !== undefined ? 'trials' : flowCurve !== undefined ? 'flowCurve' : 'cure';
    const given = givenColumns((call.flags['column'] as string[] | undefined) ?? [], FIT_COLUMNS[kind]);
    const input: FitInput = { file, given, data: await readDataText(call.io, file) };
    const shared = { paths: [recipe], single: true, ownOutput: true };
    if (trialFile === undefined) {
      if (call.out !== null) requirePictureName(call.out);
      const compute = (r: Recipe, loaded: LoadedRecipe) =>
        curveFit(call, { ...input, flow: flowCurve !== undefined }, r, loaded);
      return runOnRecipes(call, { ...shared, compute, render: renderFittedModels });
    }
    if (call.out !== null) requirePictureName(call.out);
    if (call.flags['model'] !== undefined) throw new UsageError('--model goes with --flow-curve or --cure');
    const options = await fitOptions(call);
    const compute = (r: Recipe, loaded: LoadedRecipe) => trialFit(call, { ...input, ...options }, r, loaded);
    return runOnRecipes(call, { ...shared, compute, render: renderFit });
  },
};

async function fitOptions(call: Call): Promise<{ options: FitOptions; tare: number }> {
  const { tare = 0, readability, readingError } = await quantityFlags(call, OPTIONS);
  const fixed = await fixedParameters((call.flags['fix'] as string[] | undefined) ?? []);
  const options: FitOptions = {
    fixed,
    // Gross and tare are each rounded to the balance's step.
    ...(readability !== undefined && { massError: readability / Math.sqrt(6) }),
    ...(readingError !== undefined && { diameterError: readingError }),
  };
  return { options, tare };
}

async function trialFit(
  call: Call,
  input: FitInput & { options: FitOptions; tare: number },
  recipe: Recipe,
  loaded: LoadedRecipe,
): Promise<WorkOutcome<FitResult & Written>> {
  const { file, data } = input;
  const read: DataReading<FitRow> | null = data.text === null ? null : await readTrials(call, input, loaded);
  noteTaken(call, file, read?.taken ?? null);
  if (data.text === null || read === null || read.rows === null) {
    return { result: null, findings: [], placed: mergeRepeated(read?.diagnostics ?? data.diagnostics) };
  }
  const net = withoutTare(read.rows, input.tare, file);
  const early = mergeRepeated([...read.diagnostics, ...net.diagnostics, ...conditionWarnings(read.rows, file)]);
  if (net.diagnostics.length > 0) return { result: null, findings: [], placed: early };
  const writes = call.flags['write'] === true;
  const { result, findings, needless } = writes
    ? withoutNeedless(recipe, net.rows, input.options)
    : { ...fitTrials(recipe, net.rows, input.options), needless: [] };
  const { aboutRecipe, placed } = placeRowFindings(findings, file);
  const all = [...early, ...placed];
  if (result === null) return { result, findings: aboutRecipe, placed: all };
  if (call.out !== null) await drawFit(call, { file, recipe: recipe.name ?? loaded.file }, result, net.rows);
  const source = { data: file, text: data.text };
  const refused = writes ? await writeCalibration(call, loaded, { fit: result, needless }, source) : [];
  if (refused.length > 0) return { result: null, findings: [...aboutRecipe, ...refused], placed: all };
  const written = writes ? loaded.file : null;
  return { result: { ...result, written, data: read.taken }, findings: aboutRecipe, placed: all };
}

/** A fit anew without the parameters that the first does without, until none is left of them. */
function withoutNeedless(recipe: Recipe, rows: readonly FitRow[], options: FitOptions) {
  const needless: Needless[] = [];
  for (;;) {
    const kept = Object.fromEntries(needless.map(({ key, neutral }) => [key, neutral]));
    const outcome = fitTrials(recipe, rows, { ...options, fixed: { ...options.fixed, ...kept } });
    const more = outcome.result === null ? [] : needlessParameters(outcome.result);
    if (more.length === 0) {
      return { ...outcome, findings: [...outcome.findings, ...needless.map(({ finding }) => finding)], needless };
    }
    needless.push(...more);
  }
}

/** A run sheet of trials, or a check log, whose readings are trials as well. */
function readTrials(call: Call, { file, data, given }: FitInput, loaded: LoadedRecipe): Promise<DataReading<FitRow>> {
  const text = data.text!;
  if (!isCheckLog(text, file)) return readTrialData(text, file, given);
  return readLoggedTrials(text, file, pathFromRoot(call.io, call.root)(loaded.file));
}

async function drawFit(
  call: Call,
  { file, recipe }: { readonly file: string; readonly recipe: string },
  result: FitResult,
  rows: readonly FitRow[],
): Promise<void> {
  const ages = new Map(rows.flatMap(row => (row.age === null ? [] : [[row.line, row.age / 60] as const])));
  const title = `${recipe}: fit of ${file}`;
  const draw: Drawn = measure => fitCharts(result, ages, { title, measure });
  await writePicture(call.io, call.out!, { title, made: file, draw });
}

type CurveResult = {
  readonly models: readonly FittedModel[];
  readonly points: number;
  /** Of a flow curve. */
  readonly shear_rate_range_per_s?: readonly [number, number];
};
type Drawn = (measure?: TextMeasure) => readonly Drawing[];

async function curveFit(
  call: Call,
  input: FitInput & { flow: boolean },
  recipe: Recipe,
  loaded: LoadedRecipe,
): Promise<WorkOutcome<CurveResult & Written>> {
  const { file, data, given, flow } = input;
  if (data.text === null) return { result: null, findings: [], placed: data.diagnostics };
  const done = flow
    ? await readAndFit(
        await readFlowCurve(data.text, file, given),
        rows => fitFlowCurve(recipe, rows),
        fit => measure => flowCurveCharts(fit, flowCurveOf, { title: nameOf(recipe, loaded), measure }),
      )
    : await readAndFit(
        await readCureCurve(data.text, file, given),
        rows => fitCure(recipe, rows),
        fit => measure =>
          cureCharts(fit, (model, at) => cureCurveOf(recipe, model, at), { title: nameOf(recipe, loaded), measure }),
      );
  const { aboutRecipe, placed } = placeRowFindings(done.outcome.findings, file);
  const { taken } = done.reading;
  noteTaken(call, file, taken);
  const all = [...mergeRepeated(done.reading.diagnostics), ...placed];
  const { result } = done.outcome;
  if (result === null || done.draw === null) return { result: null, findings: aboutRecipe, placed: all };
  if (call.out !== null) {
    const title = flow ? 'Fit of a flow curve' : 'Fit of a cure curve';
    await writePicture(call.io, call.out, { title, made: file, draw: done.draw });
  }
  if (call.flags['write'] !== true)
    return { result: { ...result, written: null, data: taken }, findings: aboutRecipe, placed: all };
  const rivals = done.outcome.findings.filter(({ code }) => code === 'fit-rivals');
  const refused =
    rivals.length > 0 && call.flags['model'] === undefined
      ? [
          floorFinding(
            'fit-not-written',
            null,
            'not written: models that fit as well give different shots',
            rivals[0]!.help,
          ),
        ]
      : await writeCurve(call, loaded, result, flow);
  if (refused.length > 0) return { result: null, findings: [...aboutRecipe, ...refused], placed: all };
  return { result: { ...result, written: loaded.file, data: taken }, findings: aboutRecipe, placed: all };
}

/** The resin that a curve is of, or else the recipe. */
function nameOf(recipe: Recipe, loaded: LoadedRecipe): string {
  return recipe.resin?.name ?? recipe.name ?? loaded.file;
}

async function readAndFit<R, T extends CurveResult>(
  reading: DataReading<R>,
  solve: (rows: readonly R[]) => Outcome<T>,
  drawn: (fit: T) => Drawn,
): Promise<{ reading: DataReading<R>; outcome: Outcome<CurveResult>; draw: Drawn | null }> {
  const outcome: Outcome<T> = reading.rows === null ? { result: null, findings: [] } : solve(reading.rows);
  return { reading, outcome, draw: outcome.result === null ? null : drawn(outcome.result) };
}

async function writeCurve(
  call: Call,
  loaded: LoadedRecipe,
  result: CurveResult,
  flow: boolean,
): Promise<readonly Finding[]> {
  const name = call.flags['model'];
  const model = name === undefined ? result.models[0] : result.models.find(m => m.name === name);
  if (model === undefined) {
    throw new UsageError(`--model ${String(name)}: fitted were ${result.models.map(m => m.name).join(', ')}`);
  }
  const range = result.shear_rate_range_per_s;
  const block: FittedBlock | null = flow && range !== undefined ? rheologyBlock(model, range) : cureBlock(model);
  if (block === null)
    throw new UsageError(`--model ${model.name} could not be fitted: ${model.note ?? 'it did not converge'}`);
  return writeModel(call, loaded, flow ? 'resin.rheology' : 'resin.cure', block);
}
