import { basename, dirname } from 'node:path';
import { type Command, InvalidArgumentError } from 'commander';
import { parseRecipe } from '../../recipe/format/load.ts';
import { starterRecipe } from '../../recipe/format/starter-recipe.ts';
import { renderDiagnostics } from '../../report/text/render-diagnostics.ts';
import { jsonText, resultDocument } from '../../report/words/document.ts';
import { parseQuantityLoading } from '../../units/parse-quantity-loading.ts';
import type { QuantityKind } from '../../units/quantity-kind.ts';
import { shellWord } from '../completion/shell-word.ts';
import { fromTarget, PART_OPTIONS, starterParts } from '../recipes/starter-parts.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { CallFileError, EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
Blocks come from parts of your library where one is named, else with values of a made-up connector, each to
be replaced. --from tells by its keys which block a part is. A file that exists is kept, but for --force.

The first line tells editors with a YAML language server where the JSON Schema is; they then complete keys
and mark errors while you type. \`dwellbook schema -o recipe.schema.json\` writes it.

Examples:
  $ dwellbook new slim.yaml --name "Tide-gauge pigtail"
  $ dwellbook new line-2/slim.yaml --connector parts/connectors/slim.yaml \\
      --resin parts/amber-40.yaml
  $ dwellbook new slim.yaml \\
      --from parts/connectors/slim.yaml parts/stations/bench-2.yaml \\
      --gauge 21
  $ dwellbook new > draft.yaml
`;

/** Options that are values of the recipe: path, what it measures. */
const VALUES: Readonly<Record<string, readonly [path: string, kind: QuantityKind]>> = {
  needleLength: ['needle.length', 'length'],
  temperature: ['process.temperature', 'temperature'],
  takt: ['process.takt', 'time'],
  readyAfter: ['process.ready_after', 'time'],
  tolerance: ['process.tolerance', 'percentage'],
};

export const command: CommandModule = {
  define(command: Command): void {
    command
      .argument('[file]', 'the recipe to write; default: standard output')
      .optionsGroup('Parts:')
      .option('--from <part...>', 'parts of any block, told apart by their keys');
    for (const block of PART_OPTIONS) command.option(`--${block} <file>`, `the part that \`${block}\` starts from`);
    command
      .optionsGroup('Values:')
      .option('--name <text>', 'name of the recipe; default: that of the file')
      .option('--gauge <gauge>', 'of the needle', gauge)
      .option('--wall <class>', 'of the needle: regular, thin or extra-thin', wall)
      .option('--needle-length <quantity>', 'of the needle')
      .option('--temperature <quantity>', 'of the resin')
      .option('--takt <quantity>', 'from one connector to the next')
      .option('--ready-after <quantity>', 'from mixing to the first production shot')
      .option('--tolerance <quantity>', 'on the shot volume, in %')
      .option('--schema <path>', 'where the JSON Schema is; default: recipe.schema.json beside the recipe')
      .option('--root <folder>', 'folder that `from` may not leave')
      .option('--force', 'write over a file that exists')
      .option('-o, --out <file>', 'the same as the argument')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const target = targetOf(call);
    if (target !== null) requireFree(call, target);
    const text = starterRecipe({
      name: nameOf(call, target),
      schema: schemaOf(call, target),
      parts: starterParts(call, target),
      values: await valuesOf(call),
    });
    const loaded = await parseRecipe(text, target ?? 'new recipe', call.io.files, {
      folder: target === null ? call.io.currentFolder : dirname(target),
      ...(call.root !== undefined && { root: call.root }),
    });
    if (loaded.findings.length > 0) {
      // Nothing is written: what is wrong is in a part, or the part does not go with the block.
      const lines = text.split('\n');
      const source = (file: string, line: number) => (file === loaded.file ? (lines[line - 1] ?? null) : null);
      call.io.stderr(renderDiagnostics(loaded.findings, call.messages, source));
      return EXIT.unsound;
    }
    if (target === null) call.io.stdout(call.format === 'json' ? documentText(null, text) : text);
    else {
      call.io.writeFile(target, text, 'recipe');
      if (call.format === 'json') call.io.stdout(documentText(target, text));
      else call.io.stderr(`${target}: written; next: \`dwellbook check ${shellWord(target)}\`\n`);
    }
    return EXIT.done;
  },
};

function documentText(file: string | null, text: string): string {
  return jsonText(
    resultDocument({ command: 'new', recipe: file, name: null, result: { file, text }, diagnostics: [] }),
  );
}

/** The file, or null for standard output. */
function targetOf(call: Call): string | null {
  const [file = null] = call.args;
  if (file !== null && call.out !== null) throw new UsageError(`${file} and -o ${call.out}: name one file`);
  const target = file ?? call.out;
  return target === '-' ? null : target;
}

function requireFree(call: Call, target: string): void {
  const kind = call.io.kindOf(target);
  if (kind === 'folder') throw new CallFileError(`${target}: it is a folder`);
  if (kind === 'file' && call.flags['force'] !== true) {
    throw new CallFileError(`${target} exists and is kept; --force writes over it`);
  }
  if (call.io.kindOf(dirname(target)) !== 'folder' && dirname(target) !== '.') {
    throw new CallFileError(`${dirname(target)}: there is no such folder`);
  }
}

function nameOf(call: Call, target: string | null): string {
  const name = call.flags['name'];
  if (typeof name === 'string' && name.trim() !== '') return name.trim();
  if (target === null) return 'New recipe';
  const words = basename(target)
    .replace(/\.ya?ml$/i, '')
    .replace(/[-_]+/g, ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** An address stays as it is; a path is as seen from the recipe. */
function schemaOf(call: Call, target: string | null): string {
  const schema = call.flags['schema'];
  if (typeof schema !== 'string') return 'recipe.schema.json';
  if (/\s/.test(schema)) throw new UsageError(`--schema "${schema}": the line ends at a blank; use a path without`);
  return /^[a-z][a-z\d+.-]*:/i.test(schema) ? schema : fromTarget(call, target, schema);
}

async function valuesOf(call: Call): Promise<Record<string, string>> {
  const values: Record<string, string> = {};
  if (call.flags['gauge'] !== undefined) values['needle.gauge'] = String(call.flags['gauge']);
  if (call.flags['wall'] !== undefined) values['needle.wall'] = String(call.flags['wall']);
  for (const [flag, [path, kind]] of Object.entries(VALUES)) {
    const text = call.flags[flag];
    if (typeof text !== 'string') continue;
    const option = `--${flag.replace(/[A-Z]/g, letter => `-${letter.toLowerCase()}`)}`;
    const parsed = await parseQuantityLoading(text, kind);
    if (!parsed.ok)
      throw new UsageError(`${option}: ${parsed.message}${parsed.help === null ? '' : `; ${parsed.help}`}`);
    values[path] = text.trim();
  }
  return values;
}

function gauge(text: string): string {
  if (/^[1-9]\d?s?$/.test(text)) return text;
  throw new InvalidArgumentError('Write a gauge, such as 22; `dwellbook needles` lists them.');
}

function wall(text: string): string {
  if (['regular', 'thin', 'extra-thin'].includes(text)) return text;
  throw new InvalidArgumentError('Write regular, thin or extra-thin.');
}
