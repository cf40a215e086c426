import { createHash } from 'node:crypto';
import { type GrayPicture, PictureError } from '../../data/picture-limits.ts';
import { readPicture } from '../../data/read-picture.ts';
import { scanFinding } from '../../diagnostics/codes/scan-codes.ts';
import { type Diagnostic, type Finding, placed } from '../../diagnostics/finding.ts';
import { CallFileError } from '../terminal/exit-status.ts';
import type { CliIo } from '../terminal/io.ts';

/** A sheet at 1200 dpi, packed as badly as can be. */
const MOST_BYTES = 256 * 2 ** 20;

export interface PictureFile {
  /** Null where the file is no sound picture. */
  readonly picture: GrayPicture | null;
  /** SHA-256 of the bytes in hexadecimal. */
  readonly sha256: string;
  readonly diagnostics: readonly Diagnostic[];
}

/** A PNG or JPEG, `-` for standard input; what is wrong with it is a finding. */
export async function readPictureFile(io: CliIo, path: string): Promise<PictureFile> {
  const bytes = path === '-' ? await io.readStdin(MOST_BYTES + 1) : io.files.readBytes(path, MOST_BYTES + 1);
  if (bytes.length > MOST_BYTES)
    throw new CallFileError(`${path}: the file is larger than ${MOST_BYTES / 2 ** 20} MiB`);
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  try {
    return { picture: readPicture(bytes), sha256, diagnostics: [] };
  } catch (error) {
    if (!(error instanceof PictureError)) throw error;
    const finding = scanFinding(error.code, null, `the picture ${error.message}`);
    return { picture: null, sha256, diagnostics: [inPicture(path, finding)] };
  }
}

/** A finding about a picture as a whole. */
export function inPicture(path: string, finding: Finding): Diagnostic {
  return placed(finding, { file: path, line: 1, column: 1, end_line: 1, end_column: 1 });
}
