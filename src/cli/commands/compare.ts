import type { Command } from 'commander';
import { type ComparedSide, type RecipeComparison, recipeComparison } from '../../analysis/changes/comparison.ts';
import { byPosition, type Finding } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, loadRecipe, placeFindings } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { compareMarkdown } from '../../report/check/compare-markdown.ts';
import { type CompareResult, renderCompare } from '../../report/text/render-compare.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { ruled } from '../check/check-recipe.ts';
import { compareSides, type Side, type Sides } from '../recipes/compare-sides.ts';
import { findingOfThrown } from '../recipes/one-of-several.ts';
import { collect } from '../recipes/recipe-options.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import { sourceLines } from '../recipes/source-lines.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { writeOutput } from '../terminal/write-output.ts';

const HELP = `
Shows what a change does: inputs, and above all the windows, shots, setpoints, ramps, ends and dots that
follow from them, and what \`check\` has to say anew. A change of a part shows every recipe that starts from
it. Revisions are read from git's own store: nothing is checked out. The status is 0 whatever changed.

Examples:
  $ dwellbook compare HEAD                 the work tree against the last commit
  $ dwellbook compare main..HEAD           two revisions
  $ dwellbook compare main...HEAD          since HEAD left main
  $ dwellbook compare HEAD --only line-2/
  $ dwellbook compare slim.yaml slim-thin.yaml
  $ dwellbook compare main...HEAD --markdown -o comment.md
`;

export const command: CommandModule = {
  define(command: Command): void {
    command
      .argument('<old>', 'a file, a folder, a revision, or two revisions with .. between them')
      .argument('[new]', 'a file, a folder or a revision; default: the work tree')
      .option('--only <path>', 'of revisions, only recipes in this file or folder; repeatable', collect)
      .option('--markdown', 'as Markdown, for the comment of a change request')
      .option('--root <folder>', 'folder that `from` may not leave')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const markdown = call.flags['markdown'] === true;
    if (markdown && call.format === 'json') throw new UsageError('--markdown and --json exclude each other');
    const sides = await compareSides(call);
    const all = await compareAll(call, sides);
    const recipes = all.filter(({ state }) => state !== 'unchanged');
    const result: CompareResult = {
      old: sides.old.name,
      new: sides.new.name,
      recipes: recipes.map(({ fileFindings: _, ...rest }) => rest),
      unchanged: all.length - recipes.length,
    };
    const diagnostics = recipes.flatMap(recipe => recipe.fileFindings).sort(byPosition);
    if (call.format === 'json') {
      writeOutput(
        call,
        jsonText(resultDocument({ command: 'compare', recipe: null, name: null, result, diagnostics })),
      );
    } else if (markdown) writeOutput(call, compareMarkdown(result, diagnostics));
    else {
      writeOutput(call, `${renderCompare(result, call.view)}\n`);
      call.io.stderr(renderDiagnostics(diagnostics, call.messages, sourceLines(sides.new.files)));
    }
    return EXIT.done;
  },
};

async function compareAll(call: Call, sides: Sides): Promise<RecipeComparison[]> {
  const keys = [...new Set([...sides.old.recipes.keys(), ...sides.new.recipes.keys()])].sort();
  const all: RecipeComparison[] = [];
  for (const key of keys) all.push(await compareOne(call, sides, key, keys.length > 1));
  return all;
}

async function compareOne(call: Call, sides: Sides, key: string, several: boolean): Promise<RecipeComparison> {
  const now = await loadSide(call, sides.new, key);
  const path = sides.new.recipes.get(key) ?? sides.old.recipes.get(key) ?? key;
  if (sides.samePaths && now !== null && sides.old.recipes.has(key) && isUntouched(now, sides)) {
    return recipeComparison(path, { loaded: now, findings: [] }, { loaded: now, findings: [] }, []);
  }
  const old = await loadSide(call, sides.old, key);
  const because = sides.samePaths ? changedFiles([...(now?.files ?? []), ...(old?.files ?? [])], sides) : [];
  try {
    return recipeComparison(path, judged(old), judged(now), because);
  } catch (error) {
    return incomparable(path, (now ?? old)!, because, findingOfThrown(error, several));
  }
}

/** A recipe of which nothing can be said but why. */
function incomparable(
  recipe: string,
  loaded: LoadedRecipe,
  because: readonly string[],
  finding: Finding,
): RecipeComparison {
  const nothing = { inputs: [], results: [], findings: [] };
  const fileFindings = placeFindings(loaded, [finding]);
  return { recipe, name: loaded.recipe?.name ?? null, state: 'broken', because, ...nothing, fileFindings };
}

async function loadSide(call: Call, side: Side, key: string): Promise<LoadedRecipe | null> {
  const path = side.recipes.get(key);
  return path === undefined ? null : loadRecipe(path, side.files, loadOptions(call));
}

function judged(loaded: LoadedRecipe | null): ComparedSide | null {
  if (loaded === null) return null;
  return { loaded, findings: loaded.recipe === null ? [] : ruled(loaded.recipe, false).findings };
}

/** Then the other side needs no reading. A broken recipe is read on both: what it lacks may have been there. */
function isUntouched(loaded: LoadedRecipe, sides: Sides): boolean {
  return loaded.findings.length === 0 && changedFiles(loaded.files, sides).length === 0;
}

function changedFiles(names: readonly string[], { old, new: now }: Sides): string[] {
  return [...new Set(names)].filter(name => {
    const [was, is] = [bytesOf(old.files, name), bytesOf(now.files, name)];
    return was === null || is === null || Buffer.compare(was, is) !== 0;
  });
}

function bytesOf(files: FileSystem, name: string): Uint8Array | null {
  try {
    return files.readBytes(name);
  } catch {
    return null;
  }
}
