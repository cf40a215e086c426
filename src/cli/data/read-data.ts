import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { CallFileError } from '../terminal/exit-status.ts';
import type { CliIo } from '../terminal/io.ts';

/** What is more is no data of a dispensing station, and would fill the memory. */
const LIMITS = { bytes: 64 * 2 ** 20, lines: 100_000 };

export interface DataText {
  /** Null where the bytes are no text. */
  readonly text: string | null;
  readonly diagnostics: readonly Diagnostic[];
}

/** Text of a data file, `-` for standard input; bytes that are not UTF-8 are a finding at the line where they begin. */
export async function readDataText(io: CliIo, path: string): Promise<DataText> {
  const bytes = path === '-' ? await io.readStdin(LIMITS.bytes + 1) : io.files.readBytes(path, LIMITS.bytes + 1);
  if (bytes.length > LIMITS.bytes)
    throw new CallFileError(`${path}: the file is larger than ${LIMITS.bytes / 2 ** 20} MiB`);
  if (linesOf(bytes) > LIMITS.lines) throw new CallFileError(`${path}: the file has more than ${LIMITS.lines} lines`);
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), diagnostics: [] };
  } catch {
    const line = firstBadLine(bytes);
    const bad = floorFinding('data-not-utf8', null, 'the data file is not UTF-8');
    return {
      text: null,
      diagnostics: [placed(bad, { file: path, line, column: 1, end_line: line, end_column: 1 })],
    };
  }
}

function linesOf(bytes: Uint8Array): number {
  let count = 0;
  for (let at = bytes.indexOf(10); at !== -1; at = bytes.indexOf(10, at + 1)) count++;
  return count;
}

/** A line feed is never part of a longer sequence, so lines can be tried one by one. */
function firstBadLine(bytes: Uint8Array): number {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let start = 0;
  for (let line = 1; start < bytes.length; line++) {
    const next = bytes.indexOf(10, start);
    const end = next === -1 ? bytes.length : next + 1;
    try {
      decoder.decode(bytes.subarray(start, end));
    } catch {
      return line;
    }
    start = end;
  }
  return 1;
}
