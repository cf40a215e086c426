import { OVERRIDE_FILE } from '../../diagnostics/finding.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import type { SourceLine } from '../../report/text/render-diagnostics.ts';

/** Findings come file by file; a recipe and its parts are a handful. */
const KEPT_FILES = 16;

/** Findings stand in hand-written files; lines further on are not shown [bytes]. */
const MOST_SHOWN = 4 * 1024 * 1024;

/**
 * Lines of the files that findings point at, each file read when it is first asked for; the last few are kept. An option `--set`
 * is the line of its own number.
 */
export function sourceLines(files: FileSystem, set: readonly string[] = []): SourceLine {
  const read = new Map<string, readonly string[]>();
  return (file, line) => {
    if (file === OVERRIDE_FILE) return set[line - 1] ?? null;
    let lines = read.get(file);
    if (lines === undefined) {
      lines = linesOf(files, file);
      if (read.size >= KEPT_FILES) read.clear();
      read.set(file, lines);
    }
    return lines[line - 1] ?? null;
  };
}

/** A finding may be about a file that cannot be read: there is no line to show then. */
function linesOf(files: FileSystem, file: string): readonly string[] {
  try {
    const bytes = files.readBytes(file, MOST_SHOWN);
    // A picture has no lines to show.
    if (bytes.subarray(0, 64).includes(0)) return [];
    return new TextDecoder().decode(bytes).split(/\r\n|\n|\r/);
  } catch {
    return [];
  }
}
