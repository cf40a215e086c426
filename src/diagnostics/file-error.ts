/**
 * A file named in the call that cannot be read or written: no finding about its contents, but a failure of the call. It
 * keeps what the system said, so that a caller can tell a missing file from a forbidden one.
 */
export class FileError extends Error {
  readonly path: string;
  readonly code: string;
  readonly syscall: string;

  constructor(path: string, cause: unknown) {
    const system = cause instanceof Error ? (cause as Error & { code?: unknown; syscall?: unknown }) : null;
    super(`${path}: ${system?.message ?? String(cause)}`, { cause });
    this.name = 'FileError';
    this.path = path;
    this.code = typeof system?.code === 'string' ? system.code : 'EIO';
    this.syscall = typeof system?.syscall === 'string' ? system.syscall : 'read';
  }
}
