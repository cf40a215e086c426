import { byPosition, type Finding } from '../../diagnostics/finding.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import type { View } from '../../report/words/view.ts';
import type { Call } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { findRecipes } from './find-recipes.ts';
import { findingOfThrown } from './one-of-several.ts';
import { allDiagnostics, loadOptions } from './run-on-recipes.ts';
import { sourceLines } from './source-lines.ts';

/** A sound recipe of several that are computed together. */
export interface Member {
  readonly file: string;
  readonly recipe: Recipe;
  readonly loaded: LoadedRecipe;
}

export interface FamilyWork<T> {
  /** Fewer recipes are wrong usage, with these words. */
  readonly tooFew: string;
  /** One result of all of them, and what is to be said of each, in their order. */
  readonly compute: (
    members: readonly Member[],
  ) =>
    | Promise<{ result: T | null; findings: readonly (readonly Finding[])[] }>
    | { result: T | null; findings: readonly (readonly Finding[])[] };
  readonly render: (result: T, view: View, members: readonly Member[]) => string;
}

/**
 * Loads every recipe of a call, computes one result of all, and prints it: text or one JSON document to standard output, findings
 * of the text form to standard error. `-o` belongs to the command. Ends with 1 where a recipe is unsound or there is no result.
 */
export async function runOnFamily<T>(call: Call, work: FamilyWork<T>): Promise<ExitStatus> {
  const { recipes } = await findRecipes(call.args, call.io);
  if (recipes.length < 2) throw new UsageError(work.tooFew);
  const read: { loaded: LoadedRecipe; files: FileSystem }[] = [];
  for (const { load, files } of recipes) read.push({ loaded: await load(loadOptions(call)), files });
  const members = read.flatMap(({ loaded }) =>
    loaded.recipe === null ? [] : [{ file: loaded.file, recipe: loaded.recipe, loaded }],
  );
  const whole = members.length === read.length;
  const { result, findings } = whole ? await computed(work, members) : { result: null, findings: [] };
  const said = read.map(({ loaded }, i) => allDiagnostics(loaded, { result, findings: findings[i] ?? [] }));
  if (call.format === 'json') {
    const diagnostics = said.flat().sort(byPosition);
    call.io.stdout(jsonText(resultDocument({ command: call.name, recipe: null, name: null, result, diagnostics })));
  } else {
    if (result !== null) call.io.stdout(`${work.render(result, call.view, members)}\n`);
    for (const [i, { files }] of read.entries()) {
      call.io.stderr(renderDiagnostics(said[i]!, call.messages, sourceLines(files, call.set)));
    }
  }
  return result === null ? EXIT.unsound : EXIT.done;
}

async function computed<T>(work: FamilyWork<T>, members: readonly Member[]) {
  try {
    return await work.compute(members);
  } catch (error) {
    return { result: null, findings: [[findingOfThrown(error, false)]] };
  }
}
