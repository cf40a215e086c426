import { floorCodes } from '../analysis/codes-floor.ts';
import { type Diagnostic, finding, placed } from '../diagnostics/finding.ts';
import { FileError } from './exit-status.ts';
import type { CliIo } from './io.ts';

/** A million rows; what is larger is no data of a dispensing station. */
const MOST_BYTES = 64 * 2 ** 20;

export interface DataText {
  /** Null where the bytes are no text. */
  readonly text: string | null;
  readonly diagnostics: readonly Diagnostic[];
}

/** Text of a data file, `-` for standard input; bytes that are not UTF-8 are a finding at the line where they begin. */
export async function readDataText(io: CliIo, path: string): Promise<DataText> {
  const bytes = path === '-' ? await io.readStdin() : io.files.readBytes(path, MOST_BYTES + 1);
  if (bytes.length > MOST_BYTES) throw new FileError(`${path}: the file is larger than ${MOST_BYTES / 2 ** 20} MiB`);
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), diagnostics: [] };
  } catch {
    const line = firstBadLine(bytes);
    const { severity, title, remedy } = floorCodes['data-not-utf8'];
    const bad = finding(severity, 'data-not-utf8', null, title.charAt(0).toLowerCase() + title.slice(1), remedy);
    return {
      text: null,
      diagnostics: [placed(bad, { file: path, line, column: 1, end_line: line, end_column: 1 })],
    };
  }
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
