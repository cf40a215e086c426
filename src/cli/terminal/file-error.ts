const PLAIN: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  EACCES: 'permission denied',
  EPERM: 'the system does not allow it',
  EISDIR: 'it is a folder',
  ENOTREG: 'it is a device or a pipe, not a file',
  ENOREADER: 'nothing reads from this pipe',
  EPIPE: 'its reader went away',
  ENOTDIR: 'part of the path is not a folder',
  EEXIST: 'it exists already',
  ENOSPC: 'no space is left on the device',
  EDQUOT: 'the disk quota is used up',
  EROFS: 'the file system is read-only',
  EMFILE: 'too many files are open',
  ENFILE: 'too many files are open',
  ENAMETOOLONG: 'the name is too long',
  ELOOP: 'its links run in a circle',
  EBUSY: 'it is in use',
  EFBIG: 'the file is too large',
  EIO: 'the device reports an error',
};

/** The reason of a failed system call in plain words, or null for anything else. */
export function systemReason(thrown: unknown): string | null {
  if (!(thrown instanceof Error)) return null;
  const { code, syscall } = thrown as NodeJS.ErrnoException;
  if (typeof code !== 'string' || typeof syscall !== 'string') return null;
  return PLAIN[code] ?? `the system reports ${code}`;
}

/** One line about a failed system call with its path, or null for anything else. */
export function plainFileError(thrown: unknown): string | null {
  const reason = systemReason(thrown);
  if (reason === null) return null;
  const path = (thrown as NodeJS.ErrnoException).path;
  return path === undefined ? reason : `${path}: ${reason}`;
}
