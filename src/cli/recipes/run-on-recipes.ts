import { byPosition, type Diagnostic, type Outcome } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, type LoadOptions, placeFindings } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { jsonText, type ResultDocument, resultDocument } from '../../report/words/document.ts';
import { recipeTitle } from '../../report/words/recipe-title.ts';
import { styleOf } from '../../report/words/style.ts';
import type { View } from '../../report/words/view.ts';
import { toBeSaid } from '../../rules/silence.ts';
import { ownUnits, shardOf } from '../shard/shard.ts';
import { writeShard } from '../shard/write-shard.ts';
import type { Call } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { writeOutput } from '../terminal/write-output.ts';
import { findRecipes, type RecipeInput } from './find-recipes.ts';
import { findingOfThrown } from './one-of-several.ts';
import { sourceLines } from './source-lines.ts';

/** A result, with findings about the recipe, and findings that have a place of their own (a data file). */
export interface WorkOutcome<T> extends Outcome<T> {
  readonly placed?: readonly Diagnostic[];
}

export interface Work<T> {
  /** Recipes, folders, patterns; the arguments of the call when absent. */
  readonly paths?: readonly string[];
  /** The result of one recipe. */
  readonly compute: (recipe: Recipe, loaded: LoadedRecipe) => WorkOutcome<T> | Promise<WorkOutcome<T>>;
  /** The result as text, without a line break at its end. */
  readonly render: (result: T, view: View, recipe: Recipe) => string;
  /** True when `-o` names a file of the command's own (a sheet, a CSV) and not the text or JSON. */
  readonly ownOutput?: boolean;
  /** True when the command is about one recipe (its data, its check): several are wrong usage. */
  readonly single?: boolean;
}

interface Done<T> {
  readonly files: FileSystem;
  readonly loaded: LoadedRecipe;
  readonly document: ResultDocument<T>;
}

/**
 * Loads every recipe of a call, computes, and prints: text or one JSON document to standard output (or to `-o`), findings
 * of the text form to standard error. Ends with 1 when a result could not be computed.
 * Throws: UsageError when one file of `-o` would have to hold the sheets of several recipes.
 */
export async function runOnRecipes<T>(call: Call, work: Work<T>): Promise<ExitStatus> {
  const { recipes, single } = await findRecipes(work.paths ?? call.args, call.io);
  if (work.ownOutput === true && call.out !== null && recipes.length > 1) {
    throw new UsageError(`-o ${call.out} is one file, but there are ${recipes.length} recipes; name one`);
  }
  if (work.single === true && recipes.length > 1) {
    throw new UsageError(`${call.name} is about one recipe, but there are ${recipes.length}; name one`);
  }
  const one = async ({ files, load }: RecipeInput): Promise<Done<T>> => {
    const loaded = await load(loadOptions(call));
    return { loaded, files, document: await documentOf(call, work, loaded, recipes.length > 1) };
  };
  const shard = shardOf(call);
  if (shard !== null) {
    const units = recipes.map(({ file }) => file);
    const pieces: [number, ResultDocument<T>][] = [];
    for (const unit of ownUnits(units, shard)) pieces.push([unit, (await one(recipes[unit]!)).document]);
    return writeShard(call, shard, { units, done: pieces, whole: { single } });
  }
  const done: Done<T>[] = [];
  for (const recipe of recipes) done.push(await one(recipe));
  const documents = done.map(({ document }) => document);
  if (call.format === 'json') emit(call, work, jsonText(single ? documents[0] : documents));
  else printText(call, work, done);
  return documents.some(({ result }) => result === null) ? EXIT.unsound : EXIT.done;
}

/** What a call gives of one recipe of `several`, or of one alone. */
export async function documentOf<T>(
  call: Call,
  work: Pick<Work<T>, 'compute'>,
  loaded: LoadedRecipe,
  several: boolean,
): Promise<ResultDocument<T>> {
  const outcome: WorkOutcome<T> =
    loaded.recipe === null ? { result: null, findings: [] } : await computed(work, loaded.recipe, loaded, several);
  return resultDocument({
    command: call.name,
    recipe: loaded.file,
    name: loaded.recipe?.name ?? null,
    result: outcome.result,
    diagnostics: allDiagnostics(loaded, outcome),
  });
}

async function computed<T>(
  work: Pick<Work<T>, 'compute'>,
  recipe: Recipe,
  loaded: LoadedRecipe,
  several: boolean,
): Promise<WorkOutcome<T>> {
  try {
    return await work.compute(recipe, loaded);
  } catch (error) {
    return { result: null, findings: [findingOfThrown(error, several)] };
  }
}

/** What the loader needs to know from the flags. */
export function loadOptions(call: Call): LoadOptions {
  return { ...(call.root !== undefined && { root: call.root }), set: call.set };
}

/** Findings of the file and of the computation, by place, each once, without those that the recipe silences or that follow from another. */
export function allDiagnostics(loaded: LoadedRecipe, outcome: WorkOutcome<unknown>): Diagnostic[] {
  // What keeps a result from being computed is always said.
  const silence = loaded.recipe === null || outcome.result === null ? [] : loaded.recipe.silence;
  const findings = toBeSaid(silence, outcome.findings);
  const seen = new Set<string>();
  return [...loaded.findings, ...placeFindings(loaded, findings), ...(outcome.placed ?? [])]
    .sort(byPosition)
    .filter(d => {
      const key = JSON.stringify([d.code, d.file, d.line, d.column, d.path, d.message]);
      return seen.has(key) ? false : seen.add(key);
    });
}

function printText<T>(call: Call, work: Work<T>, done: readonly Done<T>[]): void {
  const view = viewOfOutput(call, work);
  const texts = done.flatMap(({ loaded, document }) => {
    if (document.result === null || loaded.recipe === null) return [];
    const title = recipeTitle(document.name, loaded.file, view);
    return [`${title}\n\n${work.render(document.result, view, loaded.recipe)}\n`];
  });
  if (texts.length > 0) emit(call, work, texts.join('\n\n'));
  for (const { files, document } of done) {
    call.io.stderr(renderDiagnostics(document.diagnostics, call.messages, sourceLines(files, call.set)));
  }
}

/** A file has no colours, unless they are asked for. */
function viewOfOutput<T>(call: Call, work: Work<T>): View {
  const toFile = call.out !== null && work.ownOutput !== true;
  return toFile && call.flags['color'] !== 'always' ? { ...call.view, style: styleOf(0) } : call.view;
}

function emit<T>(call: Call, work: Work<T>, text: string): void {
  if (work.ownOutput === true) call.io.stdout(text);
  else writeOutput(call, text);
}
