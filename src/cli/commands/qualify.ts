import { type Command, Option } from 'commander';
import { fit as fitTrials } from '../../analysis/fit/fit.ts';
import { gaugeRr } from '../../analysis/trend/gauge-rr.ts';
import {
  type FirstPiece,
  type QualifyInput,
  type QualifyOptions,
  type QualifyResult,
  qualify,
} from '../../analysis/trend/qualify.ts';
import { isOfRecipe } from '../../data/logged-readings.ts';
import { readCheckLog } from '../../data/release-log.ts';
import { readGaugeData } from '../../data/trend-data.ts';
import { readTrialData } from '../../data/trial-data.ts';
import { qualifyFinding } from '../../diagnostics/codes/qualify-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { mergeRepeated } from '../../diagnostics/repeated.ts';
import { readFonts } from '../../files/fonts.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { renderQualify } from '../../report/several/render-qualify.ts';
import { ruled } from '../check/check-recipe.ts';
import { placeRowFindings } from '../data/fit-data.ts';
import { readDataText } from '../data/read-data.ts';
import { wholeNumber } from '../options/number-option.ts';
import { quantityOf } from '../options/quantity-option.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import { addRecipeOptions } from '../recipes/recipe-options.ts';
import { runOnRecipes, type WorkOutcome } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';

const HELP = `
Gathers under the digest of a recipe what its qualification rests on: the gauge study, trials and
their fit, the line rehearsed, how many pieces a proof takes, and the first pieces of the check
log, with lines to sign. What is missing is said. Checks that were made with other inputs under
the name of the recipe end it with status 1, and nothing is written.

Examples:
  $ dwellbook qualify line-2/slim.yaml -o pack.pdf
  $ dwellbook qualify slim.yaml --gauge-study study.csv \\
      --trials runs.csv --log checks.csv -o pack.pdf
  $ dwellbook qualify slim.yaml --log checks.csv --good "99 %" \\
      --may-fail 1 --json

A pack is no approval: who signs it answers for it. Data sheets, manuals, local codes and
licensed practice come first.
`;

/** Who allows for more proves nothing; and a rehearsal of more syringes takes minutes. */
const MOST_FAILED = 1000;
const MOST_SYRINGES = 20_000;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeOptions(command.argument('<recipe>', 'recipe file'))
      .optionsGroup('What it rests on:')
      .option('--gauge-study <file>', 'a crossed study of the gauge, a CSV as `gauge-rr` reads it')
      .option('--part <column>', 'column of the study that names the part', 'part')
      .option('--operator <column>', 'column that names the operator', 'operator')
      .option('--value <column>', 'column of the readings', 'value')
      .option('--trials <file>', 'trial shots, a CSV as `fit` reads it')
      .option('--log <file>', 'the check log that `release` keeps')
      .optionsGroup('What is asked for:')
      .option('--confidence <share>', 'default: 95 %')
      .option('--good <share>', 'share of the pieces that are to be good; default: 95 %')
      .option('--may-fail <n>', 'first pieces that may be rejected; default: none', wholeNumber(0, MOST_FAILED))
      .option('--samples <n>', 'syringes of the rehearsal; default: as `rehearse`', wholeNumber(10, MOST_SYRINGES))
      .option('--seed <n>', 'of the rehearsal', wholeNumber(0))
      .optionsGroup('Output:')
      .option('-o, --out <file>', 'the pack as a PDF to sign')
      .addOption(new Option('--paper <size>', 'size of its paper').choices(['a4', 'letter']).default('a4'))
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const options = await optionsOf(call);
    return runOnRecipes(call, {
      ...{ ownOutput: true, single: true },
      render: renderQualify,
      compute: (recipe, loaded) => qualified(call, options, recipe, loaded),
    });
  },
};

async function optionsOf({ flags }: Call): Promise<QualifyOptions> {
  const { mayFail: allowed, samples, seed } = flags as { mayFail?: number; samples?: number; seed?: number };
  const confidence = await shareOf('--confidence', flags['confidence']);
  const reliability = await shareOf('--good', flags['good']);
  return { confidence, reliability, allowed, samples, seed };
}

/** Above 0 and below 1. */
async function shareOf(flag: string, text: unknown): Promise<number | undefined> {
  if (typeof text !== 'string') return undefined;
  const share = await quantityOf(flag, text, { kind: 'percentage', least: 'above zero' });
  if (share < 1 - 1e-9) return share;
  throw new UsageError(`${flag}: "${text}" must be below 100 %`);
}

async function qualified(
  call: Call,
  options: QualifyOptions,
  recipe: Recipe,
  loaded: LoadedRecipe,
): Promise<WorkOutcome<QualifyResult>> {
  const study = await studyOf(call);
  const trials = await trialsOf(call, recipe);
  const log = await piecesOf(call, loaded);
  const early = mergeRepeated([...study.diagnostics, ...trials.diagnostics, ...log.diagnostics]);
  // What was named and cannot be read, or is of another recipe, is in no pack.
  if (study.failed || trials.failed || log.failed) return { result: null, findings: [], placed: early };
  const { findings: found } = ruled(recipe, false);
  const errors = found.filter(({ severity }) => severity === 'error').length;
  const input: QualifyInput = {
    digest: loaded.digest,
    ...{ study: study.value, trials: trials.value, checks: log.value },
    check: { errors, warnings: found.length - errors },
  };
  const { result, findings } = qualify(recipe, input, options);
  if (result === null || call.out === null) return { result, findings, placed: early };
  const { qualifyPdf } = await import('../../report/several/qualify-pack.ts');
  const paper = call.flags['paper'] as 'a4' | 'letter';
  const pack = await qualifyPdf({ ...sheetOrigin(loaded), qualify: result, recipe, paper }, readFonts());
  call.io.writeFile(call.out, pack);
  return { result: { ...result, file: call.out }, findings, placed: early };
}

/** What a file of the call gives; null where none is named. */
interface Given<T> {
  readonly value: T | null;
  readonly failed: boolean;
  readonly diagnostics: readonly Diagnostic[];
}

const NOT_NAMED = { value: null, failed: false, diagnostics: [] } as const;

async function studyOf(call: Call): Promise<Given<NonNullable<QualifyInput['study']>>> {
  const file = call.flags['gaugeStudy'];
  if (typeof file !== 'string') return NOT_NAMED;
  const { text, diagnostics: bad } = await readDataText(call.io, file);
  if (text === null) return { value: null, failed: true, diagnostics: bad };
  const { part, operator, value } = call.flags as { part: string; operator: string; value: string };
  const { data, diagnostics } = readGaugeData(text, file, { part, operator, value }, []);
  if (data === null) return { value: null, failed: true, diagnostics };
  const { result, findings } = gaugeRr(data);
  const place = { file, line: 1, column: 1, end_line: 1, end_column: 1 };
  return {
    value: result,
    failed: result === null,
    diagnostics: [...diagnostics, ...findings.map(f => placed(f, place))],
  };
}

async function trialsOf(call: Call, recipe: Recipe): Promise<Given<NonNullable<QualifyInput['trials']>>> {
  const file = call.flags['trials'];
  if (typeof file !== 'string') return NOT_NAMED;
  const { text, diagnostics: bad } = await readDataText(call.io, file);
  if (text === null) return { value: null, failed: true, diagnostics: bad };
  const { rows, diagnostics } = await readTrialData(text, file, []);
  if (rows === null) return { value: null, failed: true, diagnostics };
  const { result, findings } = fitTrials(recipe, rows);
  const { aboutRecipe, placed: ofRows } = placeRowFindings(findings, file);
  const place = { file, line: 1, column: 1, end_line: 1, end_column: 1 };
  const all = [...diagnostics, ...ofRows, ...aboutRecipe.map(f => placed(f, place))];
  return { value: result, failed: result === null, diagnostics: all };
}

/** The first check of every syringe with these inputs; a failure where checks of that name were made with others. */
async function piecesOf(call: Call, loaded: LoadedRecipe): Promise<Given<readonly FirstPiece[]>> {
  const file = call.flags['log'];
  if (typeof file !== 'string') return NOT_NAMED;
  const { text, diagnostics: bad } = await readDataText(call.io, file);
  if (text === null) return { value: null, failed: true, diagnostics: bad };
  const { table, rows, diagnostics } = await readCheckLog(text, file);
  if (table === null || rows === null) return { value: null, failed: true, diagnostics };
  const named = { path: pathFromRoot(call.io, call.root)(loaded.file), digest: loaded.digest };
  const own = rows.flatMap((row, i) => (isOfRecipe(row, named) ? [{ ...row, place: table.place(i, 0) }] : []));
  const others = own.filter(({ digest }) => digest !== loaded.digest);
  if (others.length > 0) {
    const message = `${counted(others.length, 'check')} of ${own.length} under the name of this recipe ${others.length === 1 ? 'was' : 'were'} made with other inputs: ${others[0]!.digest.slice(0, 16)}, the recipe has ${loaded.digest.slice(0, 16)}`;
    const unlike = placed(qualifyFinding('qualify-digest', null, message), others[0]!.place);
    return { value: null, failed: true, diagnostics: [...diagnostics, unlike] };
  }
  const seen = new Set<string>();
  const first = own.filter(({ syringe }) => syringe === '' || (!seen.has(syringe) && seen.add(syringe)));
  const value = first.map(({ place, time, syringe, lot, operator, mean, low, high, decision }) => ({
    ...{ line: place.line, time, syringe, lot, operator, mean, low, high, decision },
  }));
  return { value, failed: false, diagnostics };
}
