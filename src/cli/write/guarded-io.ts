import { notingFiles } from '../../files/noting-files.ts';
import { hasRecipeKey } from '../recipes/has-recipe-key.ts';
import { CallFileError } from '../terminal/exit-status.ts';
import type { CliIo, Over } from '../terminal/io.ts';

/** Enough of a file to see what it is; a recipe is not larger [bytes]. */
const ENOUGH = 256 * 1024;

const STDIN = '-';

/**
 * An io that keeps what cannot be made again: a file that was read through it, and every recipe, lock file and check log. An output
 * that would replace one is an error; so is a second output into the same file.
 */
export function guardedIo(io: CliIo): CliIo {
  const read = new Set<string>();
  const written = new Set<string | null>();
  return {
    ...io,
    files: notingFiles(io.files, path => read.add(path)),
    readStdin: most => {
      read.add(STDIN);
      return io.readStdin(most);
    },
    writeFile: (path, content, over) => {
      const why = reasonToKeep(io, path, over, { read, written });
      if (why !== null) throw new CallFileError(`${path} is kept: ${why}; name another file`);
      io.writeFile(path, content);
      written.add(io.identityOf(path));
    },
  };
}

interface Touched {
  readonly read: ReadonlySet<string>;
  readonly written: ReadonlySet<string | null>;
}

function reasonToKeep(io: CliIo, path: string, over: Over | undefined, { read, written }: Touched): string | null {
  const identity = io.identityOf(path);
  if (identity === null || over === 'source') return null;
  if (written.has(identity)) return 'this call has just written it';
  for (const other of read) if (io.identityOf(other) === identity) return 'this call read it';
  return over === 'recipe' ? null : whatItIs(io, path);
}

/** What a file is that no result replaces, by its content; null for any other. */
function whatItIs(io: CliIo, path: string): string | null {
  let bytes: Uint8Array;
  try {
    bytes = io.files.readBytes(path, ENOUGH);
  } catch {
    return null; // Writing it will say what is wrong.
  }
  const text = new TextDecoder('utf-8').decode(bytes);
  // A document of ours, which a second run replaces, names its recipe by such a key.
  if (/^\{\s*"format": \d+,\s*"command":/.test(text)) return null;
  if (hasRecipeKey(bytes)) return 'it is a recipe';
  if (/^(?:#.*\n|\s*\n)*lock:\s*\d/.test(text)) return 'it is a lock file';
  // Columns that every check log of every version begins with.
  return /^time,recipe,digest,/.test(text) ? 'it is a check log' : null;
}
