import { fstatSync, statSync } from 'node:fs';
import { appendLog } from '../../files/append-log.ts';
import { fileIdentity } from '../../files/file-identity.ts';
import { LockedError, withFileLock } from '../../files/file-lock.ts';
import { cacheFolder, type KeptTexts, keptTexts } from '../../files/kept-texts.ts';
import { nodeFileSystem } from '../../files/node-file-system.ts';
import { writeAtomic } from '../../files/write-atomic.ts';
import { boundedGlob } from './bounded-glob.ts';
import { CallFileError } from './exit-status.ts';
import { systemReason } from './file-error.ts';
import type { CliIo } from './io.ts';
import { output } from './output.ts';
import { micro } from './plain-signs.ts';
import { programIdentity } from './program-identity.ts';

export interface ProcessStreams {
  readonly io: CliIo;
  /** Reason why standard output or standard error could not be written, or null; a reader that went away is none. */
  outputError(): string | null;
}

/** The streams, files and clock of this process. */
export function processStreams(): ProcessStreams {
  let outputError: string | null = null;
  const failed = (error: NodeJS.ErrnoException) => {
    // A reader that has seen enough (`| head`) is not an error.
    if (error.code !== 'EPIPE') outputError ??= systemReason(error) ?? error.message;
  };
  const stdout = output(1, () => process.stdout, failed);
  const stderr = output(2, () => process.stderr, failed);
  const signs = { stdout: micro(process.env, stdout.isTTY), stderr: micro(process.env, stderr.isTTY) };
  const io: CliIo = {
    stdout: text => stdout.write(signs.stdout(text)),
    stderr: text => stderr.write(signs.stderr(text)),
    readStdin,
    env: process.env,
    isTTY: { stdout: stdout.isTTY, stderr: stderr.isTTY },
    columns: stdout.columns ?? stderr.columns,
    files: nodeFileSystem,
    kindOf,
    glob: (pattern, base) => boundedGlob(pattern, base),
    identityOf: path => fileIdentity(path === '-' ? 0 : path),
    writeFile: (path, content) => {
      if (typeof content === 'string' && isOwnOutput(path)) io.stdout(content);
      else writing(path, () => writeAtomic(path, content));
    },
    appendLog: (path, header, line) => writing(path, () => appendLog(path, header, line)),
    whileLocked,
    kept,
    currentFolder: process.cwd(),
    now: () => new Date(),
  };
  return { io, outputError: () => outputError };
}

async function readStdin(most = Number.POSITIVE_INFINITY): Promise<Uint8Array> {
  const chunks: Buffer[] = [];
  let length = 0;
  try {
    // The stream of a folder is empty.
    if (fstatSync(0, { bigint: true }).isDirectory())
      throw Object.assign(new Error(), { code: 'EISDIR', syscall: 'read' });
    for await (const chunk of process.stdin) {
      chunks.push(chunk as Buffer);
      length += (chunk as Buffer).length;
      if (length >= most) break;
    }
  } catch (thrown) {
    throw new CallFileError(`standard input: ${systemReason(thrown) ?? (thrown as Error).message}`);
  }
  return Buffer.concat(chunks);
}

/** `/dev/stdout` and its like where they are a pipe or a terminal: whoever reads there may leave as from standard output. */
function isOwnOutput(path: string): boolean {
  try {
    const [named, own] = [statSync(path, { bigint: true }), fstatSync(1, { bigint: true })];
    return !named.isFile() && named.dev === own.dev && named.ino === own.ino;
  } catch {
    return false;
  }
}

function kept(): KeptTexts | null {
  const folder = cacheFolder(process.env);
  const program = folder === null ? null : programIdentity();
  return folder === null || program === null ? null : keptTexts(folder, program);
}

function kindOf(path: string): 'file' | 'folder' | null {
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat === undefined) return null;
  return stat.isDirectory() ? 'folder' : 'file';
}

/** What goes wrong with the lock is about the file; what goes wrong with the work is the work's own. */
function whileLocked<T>(path: string, work: () => T): T {
  let started = false;
  try {
    return withFileLock(path, () => {
      started = true;
      return work();
    });
  } catch (thrown) {
    if (started || thrown instanceof CallFileError) throw thrown;
    const reason = thrown instanceof LockedError ? thrown.message : (systemReason(thrown) ?? (thrown as Error).message);
    throw new CallFileError(`cannot write ${path}: ${reason}`);
  }
}

function writing<T>(path: string, write: () => T): T {
  try {
    return write();
  } catch (thrown) {
    // The path as the user gave it: the error itself names the temporary file beside it.
    throw new CallFileError(`cannot write ${path}: ${systemReason(thrown) ?? (thrown as Error).message}`);
  }
}
