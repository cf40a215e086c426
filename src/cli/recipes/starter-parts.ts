import { dirname, relative, resolve, sep } from 'node:path';
import { BLOCKS, type BlockName, blockOfKeys } from '../../recipe/format/recipe-keys.ts';
import { SourceFile } from '../../recipe/yaml/source-file.ts';
import type { Call } from '../terminal/command.ts';
import { CallFileError, UsageError } from '../terminal/exit-status.ts';

/** Blocks that have an option of their own. */
export const PART_OPTIONS = ['connector', 'needle', 'resin', 'station', 'process'] as const satisfies BlockName[];

/**
 * The parts of `--connector FILE` and the like, and of `--from FILE…`, which are told apart by their keys; each as seen
 * from the folder of the new recipe.
 * Throws: CallFileError for a file that is not there; UsageError for a part of no block, or two of one.
 */
export function starterParts(call: Call, target: string | null): Partial<Record<BlockName, string>> {
  const parts: Partial<Record<BlockName, string>> = {};
  const add = (block: BlockName, file: string) => {
    if (parts[block] !== undefined) throw new UsageError(`${file}: there is a part for "${block}" already; name one`);
    parts[block] = fromTarget(call, target, file);
  };
  for (const block of PART_OPTIONS) {
    const file = call.flags[block];
    if (typeof file !== 'string') continue;
    requireFile(call, file);
    add(block, file);
  }
  for (const file of (call.flags['from'] as string[] | undefined) ?? []) add(blockOf(call, file), file);
  return parts;
}

/** A path of the call as it is written in a file of that folder. */
export function fromTarget(call: Call, target: string | null, file: string): string {
  const folder = target === null ? call.io.currentFolder : dirname(resolve(call.io.currentFolder, target));
  return relative(folder, resolve(call.io.currentFolder, file)).split(sep).join('/');
}

function requireFile(call: Call, file: string): void {
  const kind = call.io.kindOf(file);
  if (kind === null) throw new CallFileError(`${file}: there is no such file or folder`);
  if (kind === 'folder') throw new CallFileError(`${file}: it is a folder`);
}

function blockOf(call: Call, file: string): BlockName {
  requireFile(call, file);
  const { data, diagnostics } = SourceFile.fromBytes(file, call.io.files.readBytes(file));
  const [first] = diagnostics;
  if (first !== undefined) throw new UsageError(`${file}:${first.line}:${first.column}: ${first.message}`);
  const keys = Object.keys(data);
  if (keys.includes('recipe')) throw new UsageError(`${file} is a recipe, and no part of one`);
  const block = blockOfKeys(keys);
  if (block !== null) return block;
  throw new UsageError(
    `${file}: its keys (${keys.join(', ')}) do not tell which block it is; of ${BLOCKS.join(', ')}, name it as --${PART_OPTIONS[0]} FILE and the like`,
  );
}
